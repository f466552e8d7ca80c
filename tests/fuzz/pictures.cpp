// stb_image compiled with the target, in the place of the system's library, so that the fuzzer sees its
// branches and the address sanitizer its memory.
#define STB_IMAGE_IMPLEMENTATION
#include <stb_image.h>
