// Random price lists and jobs against a calculation of its own: long division digit by digit for what is
// rounded, all counts of rolls tried, and a list written here for what is read.

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <random>
#include <string>
#include <vector>

#include "duskcast/base/units.hpp"
#include "duskcast/cost/energy.hpp"
#include "duskcast/cost/take_off.hpp"
#include "duskcast/site/site_file.hpp"

using namespace duskcast;

namespace {

class Dice {
public:
    explicit Dice(unsigned seed) : random_(seed) {}
    std::int64_t roll(std::int64_t low, std::int64_t high) {
        return low + static_cast<std::int64_t>(random_() % static_cast<std::uint64_t>(high - low + 1));
    }
    bool flip() { return roll(0, 1) == 1; }

private:
    std::mt19937 random_;
};

/// "12.50": a whole number of hundredths, ten-thousandths ... as a decimal, with as many zeros as there are.
std::string decimal_of(std::int64_t value, int decimals) {
    std::string digits = std::to_string(value);
    while (static_cast<int>(digits.size()) <= decimals)
        digits.insert(0, "0");
    return digits.insert(digits.size() - static_cast<std::size_t>(decimals), ".");
}

/// value * numerator / denominator to the nearest, halves up: how often the denominator goes into it.
std::int64_t divide(std::int64_t value, std::int64_t numerator, std::int64_t denominator) {
    const std::int64_t whole = value * numerator;
    const std::int64_t floor = whole / denominator;
    return whole - floor * denominator >= denominator - (whole - floor * denominator) ? floor + 1 : floor;
}

struct Row {
    const char* kind;
    std::string id;
    std::int64_t cents, hours; ///< hours in ten-thousandths
    bool is_taxed;
    int roll_feet;
};

struct Job {
    std::vector<Row> rows;
    std::int64_t rate = 0, tax = 0, waste = 0; ///< cents an hour; millionths
    std::int64_t materials = 0, labour = 0;    ///< millionths
    bool is_materials_margin = false, is_labour_margin = false, is_labour_taxed = false;
};

Job make_job(Dice& dice) {
    Job job;
    const auto add = [&](const char* kind, const std::string& id, int feet = 0) {
        job.rows.push_back({kind, id, dice.roll(0, 50000), dice.roll(0, 40000), dice.flip(), feet});
    };
    for (const char* id : {"bullet", "path", "well"})
        add("fixture", id);
    for (const char* id : {"a", "b"})
        add("lamp", id);
    for (const char* id : {"spike", "tree"})
        add("mount", id);
    add("cable", "12 AWG", 250);
    add("cable", "12 AWG", 500);
    add("cable", "10 AWG", 100);
    add("connector", "splice");
    add("hub", "five");
    add("transformer", "300 VA");
    job.rate = dice.roll(0, 12000);
    job.tax = dice.roll(0, 250000);
    job.waste = dice.roll(0, 150000);
    job.materials = dice.roll(0, 600000);
    job.labour = dice.roll(0, 600000);
    job.is_materials_margin = dice.flip();
    job.is_labour_margin = dice.flip();
    job.is_labour_taxed = dice.flip();
    return job;
}

/// The list as a file: columns in any order, one of the user's own, blanks, quotes and either line end.
std::string write_list(const Job& job, Dice& dice) {
    std::vector<std::string> columns{"kind",  "id",           "description", "unit",
                                     "price", "labour_hours", "taxed",       "mine"};
    for (std::size_t i = columns.size() - 1; i > 0; --i)
        std::swap(columns[i], columns[static_cast<std::size_t>(dice.roll(0, static_cast<std::int64_t>(i)))]);
    const std::string end = dice.flip() ? "\r\n" : "\n";
    std::string text = dice.flip() ? "\xEF\xBB\xBF" : "";
    const auto add = [&](const std::map<std::string, std::string>& fields) {
        for (std::size_t i = 0; i < columns.size(); ++i) {
            const auto found = fields.find(columns[i]);
            const std::string value = found == fields.end() ? "" : found->second;
            text += (i > 0 ? "," : "") + (dice.flip() ? "\"" + value + "\"" : value);
        }
        text += end;
        if (dice.roll(0, 3) == 0)
            text += end; // an empty line
    };
    std::map<std::string, std::string> header;
    for (const std::string& column : columns)
        header[column] = column;
    add(header);
    for (const Row& row : job.rows)
        add({{"kind", row.kind},
             {"id", row.id},
             {"unit", row.roll_feet > 0 ? std::to_string(row.roll_feet) + " ft" : "each"},
             {"price", decimal_of(row.cents, 2)},
             {"labour_hours", decimal_of(row.hours, 4)},
             {"taxed", row.is_taxed ? "yes" : "no"},
             {"mine", "anything"}});
    add({{"kind", "labour"},
         {"unit", "hour"},
         {"price", decimal_of(job.rate, 2)},
         {"taxed", job.is_labour_taxed ? "yes" : "no"}});
    const auto add_share = [&](const char* kind, const char* id, std::int64_t share) {
        add({{"kind", kind}, {"id", id}, {"unit", "percent"}, {"price", decimal_of(share, 4)}});
    };
    add_share("tax", "", job.tax);
    add_share("waste", "cable", job.waste);
    add_share(job.is_materials_margin ? "margin" : "markup", "materials", job.materials);
    add_share(job.is_labour_margin ? "margin" : "markup", "labour", job.labour);
    return text;
}

std::int64_t charge(std::int64_t cost, std::int64_t share, bool is_margin) {
    return is_margin ? divide(cost, 1'000'000, 1'000'000 - share)
                     : divide(cost, 1'000'000 + share, 1'000'000);
}

/// Least price of rolls of 250 and 500 ft that come to so many feet.
std::int64_t cheapest_of(double feet, std::int64_t small, std::int64_t large) {
    std::int64_t best = -1;
    for (int i = 0; i <= std::ceil(feet / 250); ++i)
        for (int j = 0; j <= std::ceil(feet / 500); ++j)
            if (250.0 * i + 500.0 * j >= feet - 1e-6 && (best < 0 || i * small + j * large < best))
                best = i * small + j * large;
    return best;
}

} // namespace

TEST_CASE("random lists are read to the cent, whatever their layout") {
    for (unsigned seed = 1; seed <= 200; ++seed) {
        CAPTURE(seed);
        Dice dice(seed);
        const Job job = make_job(dice);
        const PriceList list = read_price_list(write_list(job, dice), "prices.csv");
        REQUIRE(list.items.size() == job.rows.size());
        for (std::size_t i = 0; i < job.rows.size(); ++i) {
            const Row& row = job.rows[i];
            const PriceItem& item = list.items[i];
            CHECK(name_of(item.kind) == row.kind);
            CHECK(item.id == row.id);
            CHECK(item.price == row.cents);
            CHECK(item.labour == row.hours);
            CHECK(item.is_taxed == row.is_taxed);
            CHECK(item.roll_length == doctest::Approx(row.roll_feet * 0.3048));
        }
        CHECK(list.labour_rate == job.rate);
        CHECK(list.is_labour_taxed == job.is_labour_taxed);
        CHECK(list.tax == job.tax);
        CHECK(list.cable_waste == job.waste);
        CHECK(list.materials.share == job.materials);
        CHECK((list.materials.kind == Surcharge::Kind::margin) == job.is_materials_margin);
        CHECK(list.labour.share == job.labour);
    }
}

TEST_CASE("random jobs come to the sum of their lines, each rounded by itself") {
    for (unsigned seed = 1; seed <= 300; ++seed) {
        CAPTURE(seed);
        Dice dice(seed);
        const Job job = make_job(dice);
        const PriceList list = read_price_list(write_list(job, dice), "prices.csv");
        std::map<std::string, std::int64_t> counts;
        TakeOffQuantities quantities;
        const auto need = [&](std::map<std::string, int>& into, const std::string& id) {
            counts[id] = into[id] = static_cast<int>(dice.roll(0, 30));
        };
        for (const char* id : {"bullet", "path", "well"})
            need(quantities.fixtures, id);
        need(quantities.lamps, "a");
        need(quantities.lamps, "b");
        need(quantities.mounts, "spike");
        need(quantities.connectors, "splice");
        counts["five"] = quantities.hubs[""] = static_cast<int>(dice.roll(0, 4)); // any of the kind
        counts["300 VA"] = quantities.transformers[300] = static_cast<int>(dice.roll(0, 3));
        quantities.hours = static_cast<double>(dice.roll(0, 80)) / 8;

        std::int64_t cost = 0, price = 0, hours = std::llround(quantities.hours * 10'000), taxed = 0;
        for (const Row& row : job.rows) {
            const std::int64_t line = row.cents * counts[row.id];
            cost += line;
            price += charge(line, job.materials, job.is_materials_margin);
            hours += row.hours * counts[row.id];
            taxed += row.is_taxed ? charge(line, job.materials, job.is_materials_margin) : 0;
        }
        const std::int64_t labour_cost = divide(hours, job.rate, 10'000);
        const std::int64_t labour = charge(labour_cost, job.labour, job.is_labour_margin);
        taxed += job.is_labour_taxed ? labour : 0;
        const std::int64_t tax = divide(taxed, job.tax, 1'000'000);

        const TakeOff made = make_take_off(quantities, list);
        CHECK(made.is_complete());
        CHECK(made.materials_cost == cost);
        CHECK(made.materials_price == price);
        CHECK(made.labour.hours == hours);
        CHECK(made.labour.cost == labour_cost);
        CHECK(made.labour.price == labour);
        CHECK(made.taxed_price == taxed);
        CHECK(made.tax == tax);
        CHECK(made.total() == price + labour + tax);
        // What is shown adds up to what is asked for.
        std::int64_t shown = made.labour.price.value() + made.tax;
        for (const TakeOffLine& line : made.lines)
            shown += line.price.value();
        CHECK(shown == made.sum);
    }
}

TEST_CASE("cable of any length is bought at the least price, its waste included, and laid in part") {
    for (unsigned seed = 1; seed <= 300; ++seed) {
        CAPTURE(seed);
        Dice dice(seed);
        Job job = make_job(dice);
        const PriceList list = read_price_list(write_list(job, dice), "prices.csv");
        const double feet = static_cast<double>(dice.roll(1, 18000)) / 10;
        TakeOffQuantities quantities;
        quantities.cable[12] = feet * 0.3048;
        const TakeOff made = make_take_off(quantities, list);
        const double wanted = feet * (1 + static_cast<double>(job.waste) / 1e6);
        REQUIRE(made.cable.size() == 1);
        CHECK(made.cable[0].length == doctest::Approx(feet * 0.3048));
        CHECK(made.cable[0].wanted == doctest::Approx(wanted * 0.3048));
        CHECK(made.materials_cost == cheapest_of(wanted, job.rows[7].cents, job.rows[8].cents));
        double bought = 0, whole_hours = 0;
        for (const TakeOffLine& line : made.lines) {
            CHECK(line.count > 0);
            bought += line.count * line.roll_length;
            const Row& row = job.rows[line.roll_length < 100 ? 7 : 8];
            whole_hours += static_cast<double>(line.count * row.hours);
        }
        CHECK(made.cable[0].bought == doctest::Approx(bought));
        CHECK(made.cable[0].left_over() >= -1e-4); // a tenth of a millimetre
        // Hours are for what is laid: rounded once a line, two lines at most.
        CHECK(std::abs(static_cast<double>(made.labour.hours) - whole_hours * feet * 0.3048 / bought) <=
              1.01);
    }
}

TEST_CASE("fixtures, lamps and mounts are counted as many as there are") {
    Dice dice(1);
    for (int i = 0; i < 50; ++i) {
        Site site;
        std::map<std::string, int> kinds, lamps, mounts;
        for (std::int64_t n = dice.roll(0, 40); n > 0; --n) {
            Fixture fixture{.id = "f" + std::to_string(n)};
            fixture.kind = static_cast<FixtureKind>(dice.roll(0, 5));
            fixture.mount = static_cast<Mount>(dice.roll(0, 3));
            fixture.lamp = dice.flip() ? "a" : "b";
            if (dice.flip())
                fixture.model = "brass";
            ++kinds[fixture.model.empty() ? name_of(fixture.kind) : "brass"];
            ++lamps[fixture.lamp];
            if (fixture.kind != FixtureKind::in_ground)
                ++mounts[name_of(fixture.mount)];
            site.fixtures.push_back(fixture);
        }
        const TakeOffQuantities found = find_quantities(site);
        CHECK(found.fixtures == kinds);
        CHECK(found.lamps == lamps);
        CHECK(found.mounts == mounts);
        CHECK(found.cable.empty());
    }
}

TEST_CASE("energy is power by time, to the nearest cent, over any use") {
    Dice dice(2);
    for (int i = 0; i < 500; ++i) {
        const std::int64_t watts = dice.roll(0, 2000), tenths = dice.roll(0, 240), nights = dice.roll(0, 366);
        const std::int64_t price = dice.roll(0, 900'000); // millionths of a kWh's
        const YearlyEnergy found = find_yearly_energy(
            {static_cast<double>(watts), static_cast<double>(tenths) / 10, static_cast<double>(nights)},
            price);
        CHECK(found.kilowatt_hours == doctest::Approx(static_cast<double>(watts * tenths * nights) / 1e4));
        // Cents: ten-thousandths of a kWh by millionths are 10^-10, of which 10^8 make a cent.
        const double cents = static_cast<double>(watts * tenths * nights) * static_cast<double>(price) / 1e8;
        REQUIRE(found.cost);
        CHECK(std::abs(static_cast<double>(*found.cost) - cents) <= 0.5 + 1e-6);
    }
}
