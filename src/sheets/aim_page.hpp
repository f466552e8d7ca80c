#pragma once
// What makes a sheet to aim by look and work: its <style> and its <script>.

namespace duskcast {

extern const char* const aim_style;
extern const char* const aim_script; ///< what stands in the element

} // namespace duskcast
