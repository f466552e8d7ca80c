// Any bytes as a night's readings: refused with InputError, or read as light and volts that can be.
#include <cmath>

#include "duskcast/study/readings.hpp"
#include "fuzz.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace duskcast;
    const std::vector<std::string> fixtures{"U1", "U2", "path light"};
    const std::vector<MeterPoint> points{{.fixture = 0, .number = 1},
                                         {.fixture = 0, .number = 2},
                                         {.fixture = 1, .number = 1},
                                         {.fixture = 2, .number = 12}};
    for (const double background_lx : {0.0, 0.5}) {
        const auto readings = fuzz::read_or_refuse([&] {
            return read_readings(fuzz::text_of(data, size), "fuzz.csv", fixtures, points, background_lx);
        });
        if (!readings)
            return 0;
        for (const MeterReading& reading : readings->light)
            fuzz::require(reading.point < points.size() && std::isfinite(reading.lux) && reading.lux >= 0);
        for (const VoltReading& reading : readings->volts)
            fuzz::require(std::isfinite(reading.volts) && reading.volts >= 0);
    }
    return 0;
}
