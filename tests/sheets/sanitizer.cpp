#ifdef DUSKCAST_SANITIZED
// fontconfig keeps its tables until the process ends, which the leak checker takes for leaks.
extern "C" const char* __lsan_default_suppressions() {
    return "leak:libfontconfig";
}
#endif
