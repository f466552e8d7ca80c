#define TINYOBJLOADER_IMPLEMENTATION
#include "tiny_obj.hpp"
