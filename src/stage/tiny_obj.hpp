#pragma once
// tinyobjloader without the standard's streams, which bring their locales along: 0.03 MB of the module that
// is sent with every page. It is compiled from its header on every machine (tiny_obj.cpp) and finds there,
// under the names of the standard's, streams that read and write memory and nothing else.

#include <algorithm> // here and below: all that its header includes, which sees the standard itself
#include <cassert>
#include <cctype>
#include <cmath>
#include <cstddef>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <limits>
#include <map>
#include <set>
#include <sstream>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>
#include <vector>

namespace duskcast::memory_std {

using namespace std;

struct ios {
    static constexpr int eofbit = 1;
};

/// The bytes to be read, one after the other.
class streambuf {
public:
    explicit streambuf(std::string_view text) : text_(text) {}

    int sgetc() const { return at_ < text_.size() ? static_cast<unsigned char>(text_[at_]) : -1; }
    int sbumpc() {
        const int byte = sgetc();
        at_ += byte >= 0 ? 1 : 0;
        return byte;
    }

private:
    std::string_view text_;
    std::size_t at_ = 0;
};
using stringbuf = streambuf;

/// Reads what lives longer than itself.
class istream {
public:
    struct sentry {
        sentry(const istream&, bool) {}
        explicit operator bool() const { return true; }
    };

    explicit istream(std::string_view text) : buffer_(text) {}
    explicit istream(const streambuf* buffer) : buffer_(*buffer) {}

    int peek() const { return buffer_.sgetc(); }
    streambuf* rdbuf() { return &buffer_; }
    void setstate(int) { has_failed_ = true; }
    explicit operator bool() const { return !has_failed_; }
    bool operator!() const { return has_failed_; }

private:
    streambuf buffer_;
    bool has_failed_ = false;
};
using istringstream = istream;

inline istream& getline(istream& from, std::string& line, char end) {
    line.clear();
    if (from.peek() < 0)
        from.setstate(ios::eofbit);
    for (int byte = from.rdbuf()->sbumpc(); byte >= 0 && byte != static_cast<unsigned char>(end);
         byte = from.rdbuf()->sbumpc())
        line += static_cast<char>(byte);
    return from;
}

/// No file is there: whoever reads one hands over its bytes.
class ifstream : public istream {
public:
    explicit ifstream(const char*) : istream(std::string_view{}) { setstate(ios::eofbit); }
};

/// What its messages are put together in.
class stringstream {
public:
    template <class Part> stringstream& operator<<(const Part& part) {
        if constexpr (std::is_integral_v<Part>)
            text_ += std::to_string(part);
        else
            text_ += part;
        return *this;
    }
    std::string str() const { return text_; }

private:
    std::string text_;
};

} // namespace duskcast::memory_std

#define std duskcast::memory_std
#include <tiny_obj_loader.h>
#undef std
