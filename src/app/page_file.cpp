#include "duskcast/app/page_file.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <map>
#include <sstream>

#include "answers.hpp"
#include "duskcast/base/base64.hpp"
#include "duskcast/base/files.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/cost/price_list.hpp"

namespace duskcast {
namespace {

namespace fs = std::filesystem;

constexpr std::uintmax_t most_file_bytes = 200'000'000;
constexpr std::string_view carried_from = "id=\"duskcast-site\">";
constexpr std::string_view carried_to = "</script>";

class FileCollector {
public:
    explicit FileCollector(const SiteFile& site_file) : site_file_(site_file) {}

    std::vector<CarriedFile> collect() {
        const Site& site = site_file_.site;
        add(site.catalogue_file, "catalogue");
        for (std::size_t i = 0; i < site.lamps.size(); ++i)
            add(site.lamps[i].file, fmt::format("lamps[{}].file", i));
        for (const Lamp& lamp : site.catalogue.lamps)
            add(lamp.file, "catalogue");
        for (std::size_t i = 0; i < site.meshes.size(); ++i)
            add_mesh(site.meshes[i].file, fmt::format("meshes[{}].file", i));
        for (std::size_t i = 0; i < site.photos.size(); ++i)
            add(site.photos[i].file, fmt::format("photos[{}].file", i));
        std::vector<CarriedFile> files;
        for (auto& [name, bytes] : known_)
            files.push_back({name, std::move(bytes)});
        return files;
    }

private:
    [[noreturn]] void fail(const std::string& path, std::string what, std::string remedy) const {
        throw InputError(site_file_.locate(
            {{.place = {.path = path}, .what = std::move(what), .remedy = std::move(remedy)}}));
    }

    /// The bytes; null where there is no name, or the file is already there.
    const std::string* add(const std::string& written, const std::string& path) {
        if (written.empty())
            return nullptr;
        const fs::path named = path_in({}, written).lexically_normal();
        const auto ups = std::count(named.begin(), named.end(), fs::path(".."));
        if (named.is_absolute() || named.has_root_name() || ups > most_folders_up)
            fail(path, fmt::format("a page cannot carry \"{}\"", written),
                 fmt::format("name it from the site file, at most {} folders above", most_folders_up));
        const auto [entry, is_new] = known_.try_emplace(text_of(named));
        if (!is_new)
            return nullptr;
        WholeFile whole = read_whole_file(site_file_.folder() / named, most_file_bytes);
        if (whole.fault == FileFault::unreadable)
            fail(path, fmt::format("\"{}\" cannot be read: {}", written, whole.reason),
                 "put it there or name another file");
        bytes_ += whole.bytes.size();
        if (whole.fault == FileFault::too_large || bytes_ > most_file_bytes)
            fail(path, "the site's files come to more than 200 MB", "use smaller photos, textures or meshes");
        entry->second = std::move(whole.bytes);
        return &entry->second;
    }

    /// An OBJ with its MTL and the textures of those.
    void add_mesh(const std::string& written, const std::string& path) {
        const std::string* obj = add(written, path);
        if (obj == nullptr)
            return;
        const fs::path folder = path_in({}, written).parent_path();
        for (const std::string& library : list_named(*obj, "mtllib")) {
            const std::string* mtl = add(text_of(folder / path_in({}, library)), path);
            if (mtl == nullptr)
                continue;
            for (const char* key : {"map_Kd", "map_d"})
                for (const std::string& texture : list_named(*mtl, key))
                    add(text_of(folder / path_in({}, texture)), path);
        }
    }

    /// The last word of every line that begins with the key: options come before a file's name.
    static std::vector<std::string> list_named(const std::string& text, std::string_view key) {
        std::vector<std::string> names;
        std::istringstream lines(text);
        for (std::string line; std::getline(lines, line);) {
            const std::string_view words = trimmed(line);
            if (words.size() <= key.size() || !words.starts_with(key) ||
                (words[key.size()] != ' ' && words[key.size()] != '\t'))
                continue;
            names.emplace_back(words.substr(words.find_last_of(" \t") + 1));
        }
        return names;
    }

    const SiteFile& site_file_;
    std::map<std::string, std::string> known_;
    std::uintmax_t bytes_ = 0;
};

/// Nothing in it ends the script element that it stands in.
std::string print_inert(const Json& json) {
    std::string text;
    for (const char letter : json.dump())
        if (letter == '<')
            text += "\\u003c";
        else
            text += letter;
    return text;
}

} // namespace

std::vector<CarriedFile> collect_files(const SiteFile& site_file) {
    return FileCollector(site_file).collect();
}

CarriedFile carry_price_list(const fs::path& file) {
    read_price_list_file(file);
    std::string name = text_of(file.filename());
    if (!lower_case(name).ends_with(".csv"))
        name += ".csv";
    return {std::move(name), read_whole_file(file, most_file_bytes).bytes};
}

std::string make_page(std::string_view page, const PageContent& content) {
    const std::size_t found = page.find(carried_from);
    const std::size_t from = found + carried_from.size();
    const std::size_t to = found == std::string_view::npos ? found : page.find(carried_to, from);
    if (to == std::string_view::npos)
        refuse("this is no page that duskcast can write", "make it with tools/build-web");
    Json files = Json::object();
    for (const CarriedFile& file : content.files)
        files[file.name] = print_base64(file.bytes);
    const Json carried = {
        {"text", content.text}, {"files", std::move(files)}, {"is_client", content.is_client}};
    std::string made(page.substr(0, from));
    made += print_inert(carried);
    made += page.substr(to);
    return made;
}

} // namespace duskcast
