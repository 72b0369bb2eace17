/* Random numbers for Wine 8, which lacks this library of Windows 10: beside the program, in checks only. */
#include <windows.h>
#include <ntsecapi.h>

__declspec(dllexport) BOOL WINAPI ProcessPrng(PBYTE bytes, SIZE_T count)
{
    return RtlGenRandom(bytes, (ULONG)count);
}
