/* Ctrl-C in the checks: starts a program in a console of its own, interrupts it after so many ms, and ends as it
 * ends:
 *
 *   console MS PROGRAM WORDS…
 */
#include <stdlib.h>
#include <string.h>
#include <windows.h>

static BOOL WINAPI deaf(DWORD what)
{
    return what == CTRL_C_EVENT;
}

int main(int count, char **words)
{
    if (count < 3)
        return 101;
    char line[8192] = "";
    for (int i = 2; i < count; i++) {
        strcat(line, i > 2 ? " \"" : "\"");
        strcat(strcat(line, words[i]), "\"");
    }
    FreeConsole();
    AllocConsole();
    STARTUPINFOA start = {.cb = sizeof start};
    PROCESS_INFORMATION made;
    if (!CreateProcessA(NULL, line, NULL, NULL, TRUE, 0, NULL, NULL, &start, &made))
        return 100;
    Sleep(atoi(words[1]));
    SetConsoleCtrlHandler(deaf, TRUE);
    if (!GenerateConsoleCtrlEvent(CTRL_C_EVENT, 0))
        return 103;
    DWORD code = 102;
    WaitForSingleObject(made.hProcess, 120000);
    GetExitCodeProcess(made.hProcess, &code);
    return code;
}
