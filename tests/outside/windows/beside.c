/* What stands beside the program in the checks: another program that holds a file open, and a hand on the
 * keyboard.
 *
 *   beside hold FILE FLAG              opens FILE so that nobody may change it; ends once FLAG exists
 *   beside interrupt SECONDS COMMAND   runs COMMAND, breaks it off after SECONDS, gives its exit code
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <windows.h>

static int hold(const char *file, const char *flag)
{
    HANDLE held = CreateFileA(file, GENERIC_READ, FILE_SHARE_READ, NULL, OPEN_EXISTING, 0, NULL);
    if (held == INVALID_HANDLE_VALUE)
        return 100;
    printf("held\n");
    fflush(stdout);
    for (int i = 0; i < 600 && GetFileAttributesA(flag) == INVALID_FILE_ATTRIBUTES; i++)
        Sleep(100);
    CloseHandle(held);
    return 0;
}

static int interrupt(int seconds, char *command)
{
    STARTUPINFOA start = {sizeof start};
    PROCESS_INFORMATION process;
    DWORD code = 101;
    if (!CreateProcessA(NULL, command, NULL, NULL, TRUE, CREATE_NEW_PROCESS_GROUP, NULL, NULL, &start, &process))
        return 102;
    Sleep(1000 * seconds);
    if (!GenerateConsoleCtrlEvent(CTRL_BREAK_EVENT, process.dwProcessId))
        return 103;
    if (WaitForSingleObject(process.hProcess, 60000) != WAIT_OBJECT_0)
        TerminateProcess(process.hProcess, 104);
    GetExitCodeProcess(process.hProcess, &code);
    return (int)code;
}

int main(int count, char **words)
{
    if (count == 4 && !strcmp(words[1], "hold"))
        return hold(words[2], words[3]);
    if (count == 4 && !strcmp(words[1], "interrupt"))
        return interrupt(atoi(words[2]), words[3]);
    return 105;
}
