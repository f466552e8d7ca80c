// Any bytes as the list of what an earlier run wrote into an output folder: the next run finishes, and what
// lies outside the folder stays.
#include "../folder.hpp"
#include "duskcast/base/output_folder.hpp"
#include "fuzz.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace duskcast;
    static const test::Folder scratch;
    const std::filesystem::path out = scratch.path() / "out", outside = scratch.path() / "kept.txt";
    scratch.write("kept.txt", "not ours");
    std::filesystem::create_directories(out / "plates");
    scratch.write("out/old.txt", "ours if the list says so");
    scratch.write("out/plates/old.png", "as well");
    scratch.write("out/.duskcast-fuzz.files", std::string(fuzz::text_of(data, size)));
    fuzz::read_or_refuse([&] {
        OutputFolder folder(out, "fuzz");
        folder.write("new.txt", "new");
        folder.finish();
        return true;
    });
    fuzz::require(std::filesystem::is_regular_file(outside));
    fuzz::require(std::filesystem::is_regular_file(out / "new.txt"));
    return 0;
}
