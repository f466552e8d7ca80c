#include "png_pixels.hpp"

#include <algorithm>
#include <array>
#include <queue>
#include <vector>

#include "duskcast/base/parallel.hpp"
#include "png_chunk.hpp"

namespace duskcast {

namespace {

using Bytes = std::vector<std::uint8_t>;

constexpr std::size_t pixel_bytes = 3;

/// What one filter (PNG, 9.2) leaves of a row; `left`, `above` and `corner` are those of each byte.
template <class Guess> void filter_row(const Bytes& row, const Bytes& above, Bytes& left_over, Guess guess) {
    for (std::size_t i = pixel_bytes; i < row.size(); ++i)
        left_over[i] =
            static_cast<std::uint8_t>(row[i] - guess(row[i - pixel_bytes], above[i], above[i - pixel_bytes]));
}

int guess_by_paeth(int left, int above, int corner) {
    const int by_left = std::abs(above - corner), by_above = std::abs(left - corner),
              by_corner = std::abs(left + above - 2 * corner);
    return by_left <= by_above && by_left <= by_corner ? left : by_above <= by_corner ? above : corner;
}

/// Sum of the bytes, each as far from 0 as it is going up or down.
std::uint64_t weigh(const Bytes& row) {
    std::uint64_t sum = 0;
    for (const std::uint8_t byte : row)
        sum += byte < 128 ? byte : 256 - byte;
    return sum;
}

/// Rows filtered, each by what leaves the least (PNG, 12.8); they and the row above begin with a pixel of 0.
class RowFilter {
public:
    explicit RowFilter(std::size_t bytes) : tried_(bytes), best_(bytes) {}

    void add(const Bytes& row, const Bytes& above, Bytes& to) {
        least_ = ~std::uint64_t{0};
        try_kind(1, row, above, [](int left, int, int) { return left; });
        try_kind(2, row, above, [](int, int up, int) { return up; });
        try_kind(3, row, above, [](int left, int up, int) { return (left + up) / 2; });
        try_kind(4, row, above, guess_by_paeth);
        to.push_back(kind_);
        to.insert(to.end(), best_.begin() + pixel_bytes, best_.end());
    }

private:
    template <class Guess>
    void try_kind(std::uint8_t kind, const Bytes& row, const Bytes& above, Guess guess) {
        filter_row(row, above, tried_, guess);
        const std::uint64_t weight = weigh(tried_);
        if (weight >= least_)
            return;
        least_ = weight;
        kind_ = kind;
        tried_.swap(best_);
    }

    Bytes tried_, best_;
    std::uint64_t least_ = 0;
    std::uint8_t kind_ = 0;
};

/// Lengths of Huffman's codes for symbols as often as that, none above `most` bits; 0 for what does not
/// occur. Where a code would be longer, rare symbols are taken for less rare.
std::vector<int> find_code_lengths(std::vector<std::uint32_t> counts, int most) {
    const std::size_t symbols = counts.size();
    for (;;) {
        struct Node {
            std::uint64_t count;
            std::size_t place;
            bool operator>(const Node& other) const {
                return count != other.count ? count > other.count : place > other.place;
            }
        };
        std::priority_queue<Node, std::vector<Node>, std::greater<>> open;
        for (std::size_t i = 0; i < symbols; ++i)
            if (counts[i] > 0)
                open.push({counts[i], i});
        std::vector<std::size_t> parent(symbols, 0);
        while (open.size() > 1) {
            const Node one = open.top();
            open.pop();
            const Node other = open.top();
            open.pop();
            parent[one.place] = parent[other.place] = parent.size();
            open.push({one.count + other.count, parent.size()});
            parent.push_back(0);
        }
        std::vector<int> depth(parent.size(), 0);
        for (std::size_t i = parent.size(); i-- > 0;)
            if (parent[i] != 0)
                depth[i] = depth[parent[i]] + 1;
        depth.resize(symbols);
        if (*std::max_element(depth.begin(), depth.end()) <= most)
            return depth;
        for (std::uint32_t& count : counts)
            count = (count + 1) / 2;
    }
}

/// Deflate's order of bits (RFC 1951, 3.1.1): the lowest first.
class BitWriter {
public:
    void add(std::uint32_t bits, int count) {
        held_ |= static_cast<std::uint64_t>(bits) << count_;
        for (count_ += count; count_ >= 8; count_ -= 8, held_ >>= 8)
            bytes_ += static_cast<char>(held_ & 0xff);
    }
    void fill_byte() { add(0, (8 - count_) % 8); }
    std::string take() { return std::move(bytes_); }

private:
    std::string bytes_;
    std::uint64_t held_ = 0;
    int count_ = 0;
};

/// Codes from their lengths (RFC 1951, 3.2.2), turned round, since they are written from their highest bit.
class Codes {
public:
    explicit Codes(std::vector<int> lengths) : lengths_(std::move(lengths)), codes_(lengths_.size()) {
        std::uint32_t code = 0;
        for (int length = 1; length <= 15; ++length, code <<= 1)
            for (std::size_t i = 0; i < lengths_.size(); ++i)
                if (lengths_[i] == length) {
                    for (int bit = 0; bit < length; ++bit)
                        codes_[i] |= (code >> bit & 1) << (length - 1 - bit);
                    ++code;
                }
    }
    void write(std::size_t symbol, BitWriter& to) const { to.add(codes_[symbol], lengths_[symbol]); }
    const std::vector<int>& lengths() const { return lengths_; }

private:
    std::vector<int> lengths_;
    std::vector<std::uint32_t> codes_;
};

constexpr std::size_t block_end = 256, first_run = 257, symbol_count = 286;
constexpr std::size_t least_run = 3, most_run = 258;

/// A run of the byte before it (RFC 1951, 3.2.5): its symbol, and bits that follow it.
struct Run {
    std::size_t symbol;
    std::uint32_t more;
    int more_bits;
};
Run find_run(std::size_t length) {
    if (length == most_run)
        return {symbol_count - 1, 0, 0};
    auto over = static_cast<std::uint32_t>(length - least_run);
    if (over < 8)
        return {first_run + over, 0, 0};
    int bits = 1;
    while (over >> (bits + 3) != 0)
        ++bits;
    // Of its bits + 3 binary digits the first is 1, two more choose the symbol, and the rest follow it.
    return {first_run + 4 * static_cast<std::size_t>(bits) + (over >> bits), over & ((1u << bits) - 1), bits};
}

/// Deflate's symbols of some bytes: a byte itself, or 256 and the length of a run.
std::vector<std::uint16_t> find_symbols(const Bytes& bytes) {
    std::vector<std::uint16_t> symbols;
    symbols.reserve(bytes.size() + 1);
    for (std::size_t i = 0; i < bytes.size();) {
        std::size_t run = 0;
        while (i > 0 && run < most_run && i + run < bytes.size() && bytes[i + run] == bytes[i - 1])
            ++run;
        if (run < least_run) {
            symbols.push_back(bytes[i++]);
            continue;
        }
        symbols.push_back(static_cast<std::uint16_t>(256 + run));
        i += run;
    }
    return symbols;
}

/// A block of deflate with codes of its own, then an empty one that ends on a whole byte: what is compressed
/// apart can be joined.
std::string deflate_block(const Bytes& bytes) {
    const std::vector<std::uint16_t> symbols = find_symbols(bytes);
    std::vector<std::uint32_t> counts(symbol_count, 0);
    for (const std::uint16_t symbol : symbols)
        ++counts[symbol < 256 ? symbol : find_run(symbol - 256u).symbol];
    counts[block_end] = 1;
    const Codes codes(find_code_lengths(counts, 15));

    // The lengths of the codes are written in codes of their own; the last is that of the one distance, 1.
    std::vector<int> lengths = codes.lengths();
    lengths.push_back(1);
    std::vector<std::uint32_t> length_counts(19, 0);
    for (const int length : lengths)
        ++length_counts[static_cast<std::size_t>(length)];
    const Codes length_codes(find_code_lengths(length_counts, 7));
    constexpr std::array<std::size_t, 19> order{16, 17, 18, 0, 8,  7, 9,  6, 10, 5,
                                                11, 4,  12, 3, 13, 2, 14, 1, 15};
    BitWriter bits;
    bits.add(0, 1); // not the last block
    bits.add(2, 2); // with codes of its own
    bits.add(symbol_count - 257, 5);
    bits.add(0, 5); // one distance
    bits.add(19 - 4, 4);
    for (const std::size_t length : order)
        bits.add(static_cast<std::uint32_t>(length_codes.lengths()[length]), 3);
    for (const int length : lengths)
        length_codes.write(static_cast<std::size_t>(length), bits);
    for (const std::uint16_t symbol : symbols) {
        if (symbol < 256) {
            codes.write(symbol, bits);
            continue;
        }
        const Run run = find_run(symbol - 256u);
        codes.write(run.symbol, bits);
        bits.add(run.more, run.more_bits);
        bits.add(0, 1); // the one distance
    }
    codes.write(block_end, bits);
    bits.add(0, 3); // a stored block, not the last
    bits.fill_byte();
    return bits.take() + std::string("\x00\x00\xff\xff", 4);
}

/// Adler-32 (RFC 1950, 8) over parts that were summed apart.
class AdlerSum {
public:
    struct Part {
        std::uint64_t sum = 0, sum_of_sums = 0, count = 0;
    };
    static Part measure(const Bytes& bytes) {
        Part part{0, 0, bytes.size()};
        for (const std::uint8_t byte : bytes) {
            part.sum += byte;
            part.sum_of_sums += part.sum; // below 2^64 for as many as 2^28 bytes
        }
        return part;
    }
    void add(const Part& part) {
        sum_of_sums_ = (sum_of_sums_ + part.count % prime * sum_ + part.sum_of_sums) % prime;
        sum_ = (sum_ + part.sum) % prime;
    }
    std::uint32_t get() const { return static_cast<std::uint32_t>(sum_of_sums_ << 16 | sum_); }

private:
    static constexpr std::uint64_t prime = 65521;
    std::uint64_t sum_ = 1, sum_of_sums_ = 0;
};

/// Red, green and blue of a row, after a pixel of 0; above the first row all are 0.
void read_row(int width, const std::uint32_t* pixels, Bytes& row) {
    for (std::size_t x = 0; x < static_cast<std::size_t>(width); ++x)
        for (std::size_t channel = 0; channel < pixel_bytes; ++channel)
            row[pixel_bytes * (x + 1) + channel] =
                static_cast<std::uint8_t>(pixels[x] >> (16 - 8 * channel) & 0xff);
}

} // namespace

std::string print_grainy_png(int width, int height, const std::uint32_t* pixels, std::size_t stride) {
    const std::size_t row_bytes = pixel_bytes * static_cast<std::size_t>(width);
    const auto rows = static_cast<std::size_t>(height);
    constexpr std::size_t band_bytes = 200'000; // where another code for the bytes begins to pay
    const std::size_t band_rows = std::max<std::size_t>(1, band_bytes / (row_bytes + 1));
    std::vector<std::string> parts((rows + band_rows - 1) / band_rows);
    std::vector<AdlerSum::Part> sums(parts.size());
    parallel_for(parts.size(), [&](std::size_t band) {
        Bytes row(row_bytes + pixel_bytes, 0), above = row, filtered;
        RowFilter filter(row.size());
        const std::size_t from = band * band_rows, to = std::min(rows, from + band_rows);
        if (from > 0)
            read_row(width, pixels + (from - 1) * stride, above);
        for (std::size_t y = from; y < to; ++y) {
            read_row(width, pixels + y * stride, row);
            filter.add(row, above, filtered);
            row.swap(above);
        }
        sums[band] = AdlerSum::measure(filtered);
        parts[band] = deflate_block(filtered);
    });
    std::string stream = "\x78\x01"; // zlib's head (RFC 1950, 2.2): a window of 32 KiB
    AdlerSum sum;
    for (std::size_t band = 0; band < parts.size(); ++band) {
        stream += parts[band];
        sum.add(sums[band]);
    }
    stream += std::string("\x01\x00\x00\xff\xff", 5) + print_big_endian(sum.get()); // an empty last block
    const std::string head = print_big_endian(static_cast<std::uint32_t>(width)) +
                             print_big_endian(static_cast<std::uint32_t>(height)) +
                             std::string("\x08\x02\x00\x00\x00", 5); // 8 bits of red, green and blue
    return "\x89PNG\r\n\x1a\n" + print_png_chunk("IHDR", head) + print_png_chunk("IDAT", stream) +
           print_png_chunk("IEND", "");
}

} // namespace duskcast
