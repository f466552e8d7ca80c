#pragma once
// An engine to ask, as a page does.

#include <doctest/doctest.h>
#include <utility>
#include <vector>

#include "duskcast/app/engine.hpp"
#include "folder.hpp"
#include "garden_site.hpp"

namespace duskcast::test {

/// An engine in a folder of its own.
struct Desk {
    Folder folder;
    std::vector<std::pair<std::string, double>> progress;
    Engine engine{folder.path(),
                  [this](const std::string& task, double share) { progress.emplace_back(task, share); }};
    std::vector<Block> blocks; ///< of the last answer

    Json ask(const Json& question) {
        Answer answer = engine.ask(question.dump());
        blocks = std::move(answer.blocks);
        return Json::parse(answer.json);
    }
    Json change(const Json& site, const Json& look = nullptr) {
        return ask({{"ask", "change"}, {"text", text_of(site)}, {"look", look}});
    }
    template <class Value> const std::vector<Value>& block(const Json& placeholder) const {
        return std::get<std::vector<Value>>(blocks.at(placeholder.at("$block").get<std::size_t>()));
    }
    Json put(const std::string& name, const std::string& bytes) {
        const auto* first = reinterpret_cast<const std::uint8_t*>(bytes.data());
        return Json::parse(engine.put_file(name, {first, bytes.size()}).json);
    }
};

} // namespace duskcast::test
