/* Another program in the checks, that has a file open so that nobody may change it, until FLAG exists:
 *
 *   beside FILE FLAG
 */
#include <stdio.h>
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

int main(int count, char **words)
{
    return count == 3 ? hold(words[1], words[2]) : 101;
}
