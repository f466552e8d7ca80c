#pragma once
// The engine's edge to a page: questions and answers as JSON text, large arrays beside them.

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace duskcast {

/// A large array of an answer. In the JSON {"$block": 3} stands for the fourth of them.
using Block = std::variant<std::vector<float>, std::vector<std::int32_t>, std::vector<std::uint16_t>,
                           std::vector<std::uint8_t>>;

struct Answer {
    std::string json; ///< the answer, or {"fault": [problems]}
    std::vector<Block> blocks;
};

/// Called with the name of the task and the share of it that is done.
using TaskProgress = std::function<void(const std::string& task, double share)>;

/// Answers what src/app/engine.ts may ask. Nothing is thrown across this edge: what is wrong with a question
/// or a property comes back as text, and the last good state of the property stays.
class Engine {
public:
    /// Files of the property are written below `root`, which must be there and is the engine's own.
    explicit Engine(std::filesystem::path root, TaskProgress progress = {});
    ~Engine();

    /// A file that the site names, by that name. The answer is {} or a fault: a name that leads out of
    /// `root`.
    Answer put_file(const std::string& name, std::span<const std::uint8_t> bytes);
    Answer remove_file(const std::string& name);

    /// {"ask": "probe", ...}.
    Answer ask(std::string_view question);

private:
    struct State;
    std::unique_ptr<State> state_;
};

} // namespace duskcast
