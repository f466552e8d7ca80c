// Readings as people and spreadsheets write them.

#include <doctest/doctest.h>

#include "duskcast/study/readings.hpp"

using namespace duskcast;

namespace {

const std::vector<std::string> ids = {"A", "B"};

std::vector<MeterPoint> three_points() {
    return {{.fixture = 0, .number = 1}, {.fixture = 0, .number = 2}, {.fixture = 1, .number = 1}};
}

Readings read(const std::string& text, double background = 0) {
    return read_readings(text, "night.csv", ids, three_points(), background);
}

std::vector<Problem> problems_of_readings(const std::string& text) {
    try {
        read(text);
    } catch (const InputError& error) {
        return error.problems();
    }
    return {};
}

} // namespace

TEST_CASE("the same readings in three spellings") {
    for (const std::string& text :
         {std::string("fixture,point,footcandles,volts\nA,2,1.25,\nB,1,0.5,\nB,,,11.4\n"),
          std::string(
              "\xEF\xBB\xBF"
              "fixture;point;footcandles;volts;note\r\nA;2;1,25;;\r\nB;1;0,5;;\r\nB;;;11,4;aimed\r\n"),
          std::string("note\tV\tFC\tpoint\tfixture\n\t\t1.25\t2\tA\n\t\t,5\t1\tB\nx\t11.4\t\t\tB\n")}) {
        const Readings readings = read(text);
        REQUIRE(readings.light.size() == 2);
        CHECK(readings.light[0].point == 1);
        CHECK(readings.light[0].lux == doctest::Approx(1.25 / (0.3048 * 0.3048))); // 1 fc = 1 lm/ft2
        CHECK(readings.light[1].point == 2);
        CHECK(readings.light[1].lux == doctest::Approx(0.5 / (0.3048 * 0.3048)));
        REQUIRE(readings.volts.size() == 1);
        CHECK(readings.volts[0].fixture == "B");
        CHECK(readings.volts[0].volts == 11.4);
    }
}

TEST_CASE("what the meter shows with the lights off is taken off, and no reading falls below nothing") {
    const Readings readings = read("fixture,point,lux\nA,1,5\nA,2,0.1\n", 0.5);
    CHECK(readings.light[0].lux == doctest::Approx(4.5));
    CHECK(readings.light[1].lux == 0);
}

TEST_CASE("every faulty reading is named with its line and column") {
    const std::vector<Problem> problems = problems_of_readings(
        "fixture,point,footcandles,volts\nC,1,1,\nA,7,1,\nA,1,-2,\nA,1,bright,\nA,,1,\n,1,1,\nB,1,1,120\n");
    REQUIRE(problems.size() == 7);
    for (std::size_t i = 0; i < problems.size(); ++i)
        CHECK(problems[i].place.line == static_cast<int>(i) + 2);
    CHECK(problems[0].what == "there is no fixture \"C\"");
    CHECK(problems[1].what == "A has no point \"7\"");
    CHECK(problems[1].remedy == "its points are 1, 2");
    CHECK(problems[2].what == "-2 is no reading");
    CHECK(problems[2].place.column == 5);
    CHECK(problems[3].what == "\"bright\" is not a number");
    CHECK(problems[4].what == "it is not said which point of A was read");
    CHECK(problems[5].what == "this reading is of no fixture");
    CHECK(problems[6].what == "120 is no reading");
}

TEST_CASE("tables without the columns needed are refused") {
    CHECK(problems_of_readings("point,footcandles\n1,1\n").front().what == "there is no column \"fixture\"");
    CHECK(problems_of_readings("fixture,point\nA,1\n").front().what == "there is no column of readings");
    CHECK(problems_of_readings("fixture,footcandles\nA,1\n").front().what == "there is no column \"point\"");
    CHECK(problems_of_readings("fixture,point,lux,footcandles\nA,1,1,1\n").front().what ==
          "there are two columns of light");
    CHECK(problems_of_readings("fixture,point,footcandels,volts\nA,1,1,12\n").front().what ==
          "there are points and no column of light");
    CHECK(problems_of_readings("").front().remedy == "start with fixture,point,footcandles,volts");
    CHECK_THROWS_AS(read_readings_file("nowhere.csv", ids, {}), InputError);
}
