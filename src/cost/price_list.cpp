#include "duskcast/cost/price_list.hpp"

#include <cmath>
#include <fmt/format.h>

namespace duskcast {

std::string name_of(ItemKind kind) {
    switch (kind) {
    case ItemKind::fixture:
        return "fixture";
    case ItemKind::lamp:
        return "lamp";
    case ItemKind::cable:
        return "cable";
    case ItemKind::connector:
        return "connector";
    case ItemKind::mount:
        return "mount";
    case ItemKind::hub:
        return "hub";
    case ItemKind::transformer:
        return "transformer";
    }
    return {};
}

std::string print_cable_id(int gauge) {
    return fmt::format("{} AWG", gauge);
}

std::string print_transformer_id(double volt_amperes) {
    return print_figure(std::llround(volt_amperes * 10), 1) + " VA";
}

Cents apply_surcharge(Cents cost, const Surcharge& surcharge) {
    switch (surcharge.kind) {
    case Surcharge::Kind::none:
        break;
    case Surcharge::Kind::markup:
        return scale_rounded(cost, millionths_per_one + surcharge.share, millionths_per_one);
    case Surcharge::Kind::margin:
        return scale_rounded(cost, millionths_per_one, millionths_per_one - surcharge.share);
    }
    return cost;
}

} // namespace duskcast
