// Any bytes as the words for a plant: refused with InputError, or a tree and a shrub that can be built.
#include <cmath>

#include "duskcast/site/plant_kinds.hpp"
#include "fuzz.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace duskcast;
    const std::string words(fuzz::text_of(data, size));
    if (!fuzz::read_or_refuse([&] { return read_plant(words); }))
        return 0;
    const Tree tree = make_usual_tree(words);
    for (const double figure :
         {tree.height, tree.base, tree.width, tree.trunk_diameter, tree.foliage.leaf_size})
        fuzz::require(std::isfinite(figure) && figure >= 0);
    const Shrub shrub = make_usual_shrub(words);
    fuzz::require(std::isfinite(shrub.height) && shrub.height >= 0);
    const double clumping = clumping_index(words, tree.foliage);
    fuzz::require(clumping > 0 && clumping <= 1);
    return 0;
}
