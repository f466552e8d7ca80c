// Calls a function of the room `site`. The header is in reach of everybody; the linker decides.
#include "duskcast/site/site.hpp"

int main() {
    return duskcast::find_wall(duskcast::Site{}, "front") == nullptr ? 0 : 1;
}
