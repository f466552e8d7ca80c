#pragma once
// What the checks say of a site that a program made.

#include <doctest/doctest.h>

#include <functional>
#include <string>
#include <vector>

#include "duskcast/site/lamp_lights.hpp"
#include "duskcast/site/site_file.hpp"

namespace duskcast::test {

/// The errors alone, or errors and warnings, each as "PATH: WHAT; REMEDY".
inline std::vector<std::string> list_findings(const Site& site, bool with_warnings) {
    std::vector<std::string> findings;
    for (const Problem& one : check_site(site, std::filesystem::path(DUSKCAST_TEST_DIR) / "site"))
        if (with_warnings || one.severity == Severity::error)
            findings.push_back(one.place.path + ": " + one.what + "; " + one.remedy);
    return findings;
}

/// One fault: how a sound site comes by it, and where and in what words it is found.
struct Fault {
    std::string path, words;
    std::function<void(Site&)> spoil;
};

/// The sound site has no errors, so that none is left of a fault that is mended; with each fault it has just
/// that error.
inline void check_faults(const Site& sound, const std::vector<Fault>& faults) {
    for (const std::string& one : list_findings(sound, false))
        FAIL_CHECK(one);
    LampLights lights(std::filesystem::path(DUSKCAST_TEST_DIR) / "site"); // kept from one site to the next
    CHECK_FALSE(has_errors(sound, lights));
    for (const Fault& fault : faults) {
        CAPTURE(fault.path);
        CAPTURE(fault.words);
        Site spoilt = sound;
        fault.spoil(spoilt);
        const std::vector<std::string> found = list_findings(spoilt, false);
        std::string all;
        for (const std::string& one : found)
            all += "\n" + one;
        CAPTURE(all);
        CHECK(found.size() == 1);
        CHECK(has_errors(spoilt, lights));
        CHECK(all.starts_with("\n" + fault.path + ": "));
        CHECK(all.find(fault.words) != std::string::npos);
    }
}

} // namespace duskcast::test
