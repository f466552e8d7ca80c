#pragma once
// How an offer looks, on a screen and on Letter and A4.

#include <string>

#include "duskcast/site/business_file.hpp"

namespace duskcast {

/// A <style> element in the colours of the business.
std::string print_proposal_style(const Business& business);

} // namespace duskcast
