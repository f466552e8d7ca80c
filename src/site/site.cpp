#include "duskcast/site/site.hpp"

#include <algorithm>

namespace duskcast {
namespace {

template <class T> const T* find_by_id(const std::vector<T>& list, const std::string& id) {
    const auto found = std::find_if(list.begin(), list.end(), [&](const T& one) { return one.id == id; });
    return found == list.end() ? nullptr : &*found;
}

} // namespace

const Wall* find_wall(const Site& site, const std::string& id) {
    return find_by_id(site.walls, id);
}
const Tree* find_tree(const Site& site, const std::string& id) {
    return find_by_id(site.trees, id);
}
const Lamp* find_lamp(const Site& site, const std::string& id) {
    return find_by_id(site.lamps, id);
}

} // namespace duskcast
