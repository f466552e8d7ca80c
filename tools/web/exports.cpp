// The engine as a page's worker calls it: plain C exports. Texts are UTF-8 and end with a zero; what is
// returned stays as it is until the next call.

#include <cstdint>
#include <emscripten.h>
#include <optional>
#include <string>

#include "duskcast/app/engine.hpp"

namespace {

// clang-format off
EM_JS(void, report_progress, (const char* task, double share), {
    if (Module.onProgress) Module.onProgress(UTF8ToString(task), share);
});
// clang-format on

struct Worker {
    duskcast::Engine engine{
        "/property", [](const std::string& task, double share) { report_progress(task.c_str(), share); }};
    duskcast::Answer answer;

    const char* tell(duskcast::Answer made) {
        answer = std::move(made);
        return answer.json.c_str();
    }
};

Worker& worker() {
    static Worker one;
    return one;
}

} // namespace

extern "C" {

EMSCRIPTEN_KEEPALIVE const char* duskcast_ask(const char* question) {
    return worker().tell(worker().engine.ask(question));
}

EMSCRIPTEN_KEEPALIVE const char* duskcast_put_file(const char* name, const std::uint8_t* bytes,
                                                   std::size_t count) {
    return worker().tell(worker().engine.put_file(name, {bytes, count}));
}

EMSCRIPTEN_KEEPALIVE const char* duskcast_remove_file(const char* name) {
    return worker().tell(worker().engine.remove_file(name));
}

EMSCRIPTEN_KEEPALIVE std::size_t duskcast_block_count() {
    return worker().answer.blocks.size();
}

/// Which of the alternatives of duskcast::Block it is.
EMSCRIPTEN_KEEPALIVE std::size_t duskcast_block_kind(std::size_t block) {
    return worker().answer.blocks[block].index();
}

EMSCRIPTEN_KEEPALIVE std::size_t duskcast_block_length(std::size_t block) {
    return std::visit([](const auto& values) { return values.size(); }, worker().answer.blocks[block]);
}

EMSCRIPTEN_KEEPALIVE const void* duskcast_block_data(std::size_t block) {
    return std::visit([](const auto& values) { return static_cast<const void*>(values.data()); },
                      worker().answer.blocks[block]);
}

/// An answer that has been copied out is let go.
EMSCRIPTEN_KEEPALIVE void duskcast_drop_answer() {
    worker().answer = {};
}

} // extern "C"
