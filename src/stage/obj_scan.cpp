#include "obj_scan.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <fmt/format.h>

#include "duskcast/base/problem.hpp"
#include "duskcast/base/text.hpp"
#include "duskcast/stage/obj.hpp"

namespace duskcast {

namespace {

constexpr int most_corners = 255;       // tinyobjloader keeps the count in a byte
constexpr double most_coordinate = 1e9; // in the file's units; the message below names it

class ObjScan {
public:
    ObjScan(std::string_view text, const std::string& name, std::size_t most_triangles)
        : text_(text), name_(name), most_triangles_(static_cast<std::int64_t>(most_triangles)) {}

    void run() {
        while (!text_.empty()) {
            ++line_;
            const std::size_t end = text_.find_first_of("\r\n");
            scan_line(text_.substr(0, end));
            if (end == std::string_view::npos)
                break;
            const bool is_pair = text_[end] == '\r' && end + 1 < text_.size() && text_[end + 1] == '\n';
            text_.remove_prefix(end + (is_pair ? 2 : 1));
        }
        if (triangles_ == 0)
            fail_file("has no faces", "export the mesh as polygons (lines that start with \"f\")");
    }

private:
    [[noreturn]] void fail(std::string_view what, std::string_view remedy) const {
        throw InputError(Problem{.place = {.file = name_, .line = line_},
                                 .what = std::string(what),
                                 .remedy = std::string(remedy)});
    }

    [[noreturn]] void fail_file(std::string_view what, std::string_view remedy) const {
        throw InputError(
            Problem{.place = {.file = name_}, .what = std::string(what), .remedy = std::string(remedy)});
    }

    void scan_line(std::string_view rest) {
        const std::string_view key = take_word(rest);
        if (key == "v") {
            scan_numbers(rest, 3);
            ++vertices_;
        } else if (key == "vt") {
            scan_numbers(rest, 1);
            ++texture_spots_;
        } else if (key == "vn") {
            scan_numbers(rest, 3);
            ++normals_;
        } else if (key == "f") {
            scan_face(rest);
        }
    }

    void scan_numbers(std::string_view rest, int least) const {
        int count = 0;
        for (std::string_view word = take_word(rest); !word.empty() && word[0] != '#';
             word = take_word(rest)) {
            if (word[0] == '+')
                word.remove_prefix(1);
            double value = 0;
            const auto [end, error] = read_decimal(word, value);
            if (error != std::errc{} || end != word.data() + word.size() || !std::isfinite(value) ||
                std::abs(value) > most_coordinate)
                fail(fmt::format("\"{}\" is not a coordinate", word),
                     "write a decimal number from -1e9 to 1e9");
            ++count;
        }
        if (count < least)
            fail(fmt::format("{} number{} where {} belong", count, count == 1 ? "" : "s", least),
                 "write the missing coordinates");
    }

    void scan_face(std::string_view rest) {
        int corners = 0;
        for (std::string_view word = take_word(rest); !word.empty() && word[0] != '#';
             word = take_word(rest)) {
            scan_corner(word);
            ++corners;
        }
        if (corners < 3 || corners > most_corners)
            fail(fmt::format("a face with {} corner{}", corners, corners == 1 ? "" : "s"),
                 fmt::format("a face has 3 to {} corners", most_corners));
        triangles_ += corners - 2;
        if (triangles_ > most_triangles_)
            fail_file(fmt::format("has more than {} triangles, of the {} that the meshes of a site may have",
                                  most_triangles_, ObjAllowance().triangles),
                      "simplify the meshes");
    }

    /// "7", "7/2", "7//3" or "7/2/3"; negative counts back from the last one.
    void scan_corner(std::string_view word) const {
        const std::string_view whole = word;
        const std::int64_t counts[3] = {vertices_, texture_spots_, normals_};
        static constexpr const char* what[3] = {"vertices", "texture coordinates", "normals"};
        for (int part = 0; part < 3; ++part) {
            const std::size_t slash = std::min(word.find('/'), word.size());
            const std::string_view number = word.substr(0, slash);
            if (!number.empty()) {
                std::int64_t index = 0;
                const auto [end, error] =
                    std::from_chars(number.data(), number.data() + number.size(), index);
                if (error != std::errc{} || end != number.data() + number.size())
                    fail(fmt::format("\"{}\" is not a corner of a face", whole),
                         "write v, v/vt, v//vn or v/vt/vn");
                if (index == 0 || index > counts[part] || -index > counts[part])
                    fail(fmt::format("index {} in \"{}\", but there are {} {} so far", index, whole,
                                     counts[part], what[part]),
                         "count from 1 up, or from -1 back");
            } else if (part == 0) {
                fail(fmt::format("\"{}\" is not a corner of a face", whole),
                     "write v, v/vt, v//vn or v/vt/vn");
            }
            if (slash == word.size())
                return;
            word.remove_prefix(slash + 1);
        }
        fail(fmt::format("\"{}\" is not a corner of a face", whole), "write v, v/vt, v//vn or v/vt/vn");
    }

    std::string_view text_;
    const std::string& name_;
    int line_ = 0;
    std::int64_t vertices_ = 0;
    std::int64_t texture_spots_ = 0;
    std::int64_t normals_ = 0;
    std::int64_t most_triangles_ = 0;
    std::int64_t triangles_ = 0;
};

} // namespace

std::string_view take_word(std::string_view& rest) {
    const std::size_t from = rest.find_first_not_of(" \t");
    if (from == std::string_view::npos)
        return rest = {};
    const std::size_t to = std::min(rest.find_first_of(" \t", from), rest.size());
    const std::string_view word = rest.substr(from, to - from);
    rest.remove_prefix(to);
    return word;
}

void scan_obj(std::string_view text, const std::string& name, std::size_t most_triangles) {
    ObjScan(text, name, most_triangles).run();
}

} // namespace duskcast
