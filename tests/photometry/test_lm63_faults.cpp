// What the LM-63 reader tolerates, what it warns of and what it refuses, word by word.

#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>
#include <set>
#include <string>
#include <vector>

#include "duskcast/base/units.hpp"
#include "duskcast/photometry/lm63.hpp"

using namespace duskcast;

namespace {

/// A sound file in parts. Lines: 1 version, 2-5 keywords, 6 TILT, 7 ten numbers, 8 three, 9 vertical and
/// 10 horizontal angles, 11 and 12 candela.
struct Parts {
    std::string version = "IESNA:LM-63-2002";
    std::string keywords = "[TEST] 1\n[TESTLAB] bench\n[ISSUEDATE] 01-JAN-2024\n[MANUFAC] Sample Works";
    std::string tilt = "TILT=NONE";
    std::string ten = "1 -1 1 3 2 1 2 0.1 0.1 0";
    std::string three = "1 1 5";
    std::string vertical = "0 45 90";
    std::string horizontal = "0 90";
    std::string candela = "100 50 0\n100 30 0";

    std::string text() const {
        return version + "\n" + keywords + "\n" + tilt + "\n" + ten + "\n" + three + "\n" + vertical + "\n" +
               horizontal + "\n" + candela + "\n";
    }
};

using Member = std::string Parts::*;

std::string text_with(Member member, const std::string& value) {
    Parts parts;
    parts.*member = value;
    return parts.text();
}

/// `counts_and_type`: vertical angles, horizontal angles, photometric type.
std::string type_ab(const std::string& counts_and_type, const std::string& vertical,
                    const std::string& horizontal) {
    Parts parts;
    parts.ten = "1 -1 1 " + counts_and_type + " 2 0 0 0";
    parts.vertical = vertical;
    parts.horizontal = horizontal;
    return parts.text();
}

std::string message_of(const std::string& text) {
    try {
        read_lm63(text, "a.ies");
    } catch (const InputError& error) {
        CHECK(error.problems().size() == 1);
        return error.what();
    }
    return "nothing was thrown";
}

std::string replace_all(std::string text, const std::string& from, const std::string& to) {
    for (std::size_t at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size()))
        text.replace(at, from.size(), to);
    return text;
}

std::vector<std::string> warnings_of(const std::string& text) {
    std::vector<std::string> warnings;
    for (const Problem& problem : read_lm63(text, "a.ies").warnings) {
        CHECK(problem.severity == Severity::warning);
        warnings.push_back(print_problem(problem));
    }
    return warnings;
}

} // namespace

TEST_CASE("how the text is laid out does not matter") {
    const std::string sound = Parts().text();
    const Distribution expected = read_lm63(sound, "a.ies").distribution;
    CHECK(warnings_of(sound).empty());
    const std::vector<std::string> variants{
        replace_all(sound, "\n", "\r\n"),
        replace_all(sound, "\n", "\r"),
        replace_all(sound, "\n", "\n\n"),
        replace_all(sound, "\n", " \t\r\n"),
        replace_all(sound, "1 2 0.1", "1\n2 0.1"), // numbers of the 10 on two lines
        "\xEF\xBB\xBF" + sound,
        "\n\n" + sound,
        sound + "\x1A",
        sound + std::string("\x1A\0\0\0", 4),
        sound + "\r\n\r\n",
        sound.substr(0, sound.size() - 1),
        text_with(&Parts::candela, "100,50,0,\n100,30,0,"),
        text_with(&Parts::candela, "100 ,\t50 , 0\n100 , 30,0"),
        text_with(&Parts::candela, "100\n50\n0\n100\n30 0"),
        text_with(&Parts::candela, "1E2 5.0D+01 0.\n+100 30 .0"),
        text_with(&Parts::ten, "1.0 -1 1 3.0 2.0 1 2 0.1 0.1 0"),
        text_with(&Parts::tilt, "  tilt = None "),
        text_with(&Parts::tilt, "Tilt\t=\tnone"),
        replace_all(replace_all(sound, "1 -1 1", "1\n-1 1"), "2 0.1", "2\n0.1"), // on three lines
        "IESNA:LM-63-2002\r[TEST] 1\n" + sound.substr(sound.find("[TESTLAB]")),  // CR, then LF
        text_with(&Parts::ten, "01 -1. +1 3e0 0.2E1 1.0 2 .1 1D-1 -0"),
        text_with(&Parts::ten, "1,-1,1,3,2,1,2,0.1,0.1,0,"),
    };
    for (const std::string& variant : variants) {
        CAPTURE(variant);
        CHECK(read_lm63(variant, "a.ies").distribution == expected);
        CHECK(warnings_of(variant).empty());
    }
}

TEST_CASE("doubtful files are read with a warning") {
    using Warnings = std::vector<std::string>;
    CHECK(warnings_of(text_with(&Parts::keywords, "[TEST] 1\n[ISSUEDATE] x")) ==
          Warnings{"a.ies:4: warning: the required keyword [TESTLAB] is missing",
                   "a.ies:4: warning: the required keyword [MANUFAC] is missing"});
    Parts older;
    older.version = "IESNA:LM-63-1995";
    older.keywords = "";
    CHECK(warnings_of(older.text()).empty());
    older.three = "1 0.9 5";
    CHECK(warnings_of(older.text()) ==
          Warnings{"a.ies:5: warning: the 12th number is 0.9; this version keeps it "
                   "for future use, as 1; it is not used"});
    const std::string required = Parts().keywords;
    CHECK(warnings_of(text_with(&Parts::keywords, "[MORE] odd\n" + required)) ==
          Warnings{"a.ies:2: warning: [MORE] continues no keyword and is left out"});
    CHECK(warnings_of(text_with(&Parts::keywords, "a remark\n" + required)) ==
          Warnings{
              "a.ies:2: warning: \"a remark\" belongs to no keyword and is left out; a keyword line begins "
              "with the keyword in square brackets"});
    CHECK(warnings_of(text_with(&Parts::keywords, "[LAMP LED\n" + required)) ==
          Warnings{"a.ies:2: warning: the keyword \"[LAMP\" has no closing bracket; it is read as [LAMP]"});
    CHECK(warnings_of(text_with(&Parts::tilt, "[TILT]=NONE")) ==
          Warnings{"a.ies:6: warning: TILT is no keyword; write TILT=NONE without brackets"});
    CHECK(warnings_of(text_with(&Parts::ten, "1 0 1 3 2 1 2 0.1 0.1 0")) ==
          Warnings{"a.ies:7: warning: the lumens per lamp are 0; give the rated lumens, or -1 for absolute "
                   "photometry; the candela are used as they stand"});
    CHECK(warnings_of(text_with(&Parts::ten, "1 -2 1 3 2 1 2 0.1 0.1 0")) ==
          Warnings{"a.ies:7: warning: the lumens per lamp are -2; give the rated lumens, or -1 for absolute "
                   "photometry; the candela are used as they stand"});
    CHECK(warnings_of(text_with(&Parts::three, "1 1 -5")) ==
          Warnings{"a.ies:8: warning: the input watts are -5; they are taken as unknown"});
    CHECK(warnings_of(replace_all(Parts().text(), "0\n1 1 5", "0 1 1 5")) ==
          Warnings{
              "a.ies:7: warning: the ballast factor should begin a new line; check that no number is missing "
              "or too many"});
    CHECK(
        warnings_of(replace_all(Parts().text(), "0\n100 30", "0 100 30")) ==
        Warnings{
            "a.ies:11: warning: the candela of each horizontal angle should begin a new line; check that no "
            "number is missing or too many"});
    CHECK(warnings_of(text_with(&Parts::vertical, "10 45 80")) ==
          Warnings{
              "a.ies:9: warning: the vertical angles run from 10 to 80; they should begin at 0 or 90 and end "
              "at 90 or 180; no light is taken outside them"});
    CHECK(warnings_of(text_with(&Parts::vertical, "0 45 89")) ==
          Warnings{
              "a.ies:9: warning: the vertical angles run from 0 to 89; they should begin at 0 or 90 and end "
              "at 90 or 180; no light is taken outside them"});
    CHECK(warnings_of(text_with(&Parts::vertical, "0 90 179")) ==
          Warnings{
              "a.ies:9: warning: the vertical angles run from 0 to 179; they should begin at 0 or 90 and end "
              "at 90 or 180; no light is taken outside them"});
    CHECK(warnings_of(text_with(&Parts::tilt, "[TILT=NONE]")) ==
          Warnings{"a.ies:6: warning: TILT is no keyword; write TILT=NONE without brackets"});
    Parts one_plane;
    one_plane.ten = "1 -1 1 3 1 1 2 0 0 0";
    one_plane.horizontal = "45";
    one_plane.candela = "100 50 0";
    CHECK(warnings_of(one_plane.text()) ==
          Warnings{"a.ies:10: warning: the only horizontal angle is 45; it should "
                   "be 0; the beam is taken as the same all round"});
    CHECK(read_lm63(one_plane.text(), "a.ies").distribution.is_symmetric());
    Parts gap;
    gap.ten = "1 -1 1 3 3 1 2 0 0 0";
    gap.horizontal = "0 100 200";
    gap.candela = "100 50 0\n100 50 0\n100 50 0";
    CHECK(warnings_of(gap.text()) ==
          Warnings{"a.ies:10: warning: the horizontal angles end at 200; the planes from "
                   "there to 360 are interpolated"});
    gap.horizontal = "0 180 360";
    gap.candela = "100 50 0\n100 40 0\n100 53 0";
    CHECK(warnings_of(gap.text()) ==
          Warnings{"a.ies:13: warning: the candela at horizontal angles 0 and 360 differ; they are one "
                   "plane; those at 0 are used"});
    CHECK(read_lm63(gap.text(), "a.ies").distribution.candela_at(6.28, 0.785) < 51);
    gap.candela = "100 50 0\n100 40 0\n100 51 0"; // what a second measurement may give
    CHECK(warnings_of(gap.text()).empty());
    CHECK(warnings_of(text_with(&Parts::candela, "100 50 -0.4\n100 30 -0.1")) ==
          Warnings{"a.ies:11: warning: candela values slightly below 0: 2; they are taken as 0"});
    CHECK(warnings_of(text_with(&Parts::candela, "100 50 0\n100 30 0\nEND OF FILE")) ==
          Warnings{"a.ies:13: warning: text follows the last candela value (\"END\") and is left out"});
    CHECK(warnings_of(text_with(&Parts::candela, "100 50 0\n80 30 0")) ==
          Warnings{
              "a.ies: warning: the candela at vertical angle 0 differ between 80 and 100; it is one and the "
              "same direction in every plane; their mean is used"});
    // Mean plane 100, 40, 0 cd: 2 pi (17.698 + 13.367) = 195.2 lm by the closed form of each zone.
    CHECK(warnings_of(text_with(&Parts::ten, "1 10 1 3 2 1 2 0.1 0.1 0")) ==
          Warnings{
              "a.ies: warning: the candela add up to 195 lm, more than the lamps' 10 lm; check the candela "
              "multiplier"});
}

TEST_CASE("small negative noise is taken as no light") {
    const Lm63 file = read_lm63(text_with(&Parts::candela, "100 50 -0.4\n100 30 -0.1"), "a.ies");
    CHECK(file.distribution.candela[2] == 0);
}

TEST_CASE("candela for 1000 lm, made candela by the multiplier") {
    // 350 lm: 0.35 x 100 cd per 1000 lm.
    const Lm63 file = read_lm63(text_with(&Parts::ten, "1 350 0.35 3 2 1 2 0 0 0"), "a.ies");
    CHECK(file.warnings.empty());
    CHECK(file.distribution.candela_at(0, 0) == doctest::Approx(35));
}

TEST_CASE("Latin-1 text comes out as UTF-8") {
    const Lm63 file = read_lm63(text_with(&Parts::keywords, "[LAMP] 36\xB0 spot"), "a.ies");
    CHECK(file.keywords.front() == std::pair<std::string, std::string>{"LAMP", "36\xC2\xB0 spot"});
    const Lm63 utf8 = read_lm63(text_with(&Parts::keywords, "[LAMP] 36\xC2\xB0 spot"), "a.ies");
    CHECK(utf8.keywords.front() == file.keywords.front());
}

TEST_CASE("every refused file says where, what and what would be right") {
    struct Row {
        std::string text, message;
    };
    const std::string read = "; LM-63-1986, 1991 (IESNA91), 1995, 2002 and 2019 are read";
    const std::string counts = "check the angles and their count";
    const std::string or_comma =
        "; a count of angles is wrong, or a comma, which parts numbers, stands for a decimal point";
    const std::string noise =
        "; an intensity is 0 or more; only noise within 0.5 % of the greatest value is taken as 0";
    const std::string or_type_c =
        "type A counts from -180 to 180 and type B from -90 to 90; planes from 0 to 360 are type C (1)";
    const std::string one_line = replace_all(Parts().text(), "\n", " ");
    const std::vector<Row> rows{
        {"", "a.ies:1: error: the file is empty"},
        {"\r\n \n", "a.ies:1: error: the file is empty"},
        {std::string("\xFF\xFEI\0E\0S\0", 8),
         "a.ies:1: error: the file is UTF-16 text; save it as plain text (ASCII or UTF-8)"},
        {"\x89PNG and more",
         "a.ies:1: error: this is not an LM-63 file: it begins with \"\\x89PNG and more\"; "
         "the first line names the version, such as IESNA:LM-63-2002"},
        {text_with(&Parts::version, "IESNA:LM-63-2012"),
         "a.ies:1: error: \"IESNA:LM-63-2012\" is no known version" + read},
        {text_with(&Parts::version, "IES:TM-33-18"),
         "a.ies:1: error: \"IES:TM-33-18\" is no known version" + read},
        {text_with(&Parts::keywords, "[BLOCK]"), "a.ies:2: error: [BLOCK] groups several luminaires in one "
                                                 "file, which is not read; save each luminaire as "
                                                 "a file of its own"},
        {text_with(&Parts::tilt, "[LAMP] LED"),
         "a.ies:12: error: the file ends without a TILT= line; put TILT=NONE "
         "between the keywords and the numbers"},
        {text_with(&Parts::tilt, "TILT="), "a.ies:6: error: nothing follows TILT=; write TILT=NONE, "
                                           "TILT=INCLUDE or the name of a tilt file"},
        {text_with(&Parts::tilt, "TILT=../../etc/passwd"),
         "a.ies:6: error: the tilt file \"../../etc/passwd\" is named with a folder; put it beside this file "
         "and give its name alone"},
        {text_with(&Parts::tilt, "TILT=C:\\lamp.tlt"),
         "a.ies:6: error: the tilt file \"C:\\lamp.tlt\" is named with a folder; put it beside this file and "
         "give its name alone"},
        {text_with(&Parts::ten, "1 -1 1 3 2 1 2 100 100 0"),
         "a.ies:7: error: the luminous opening is 100 m across; sizes are in feet (1) or metres (2) as the "
         "number before them says; these look like inches or millimetres"},
        {text_with(&Parts::ten, "1 -1 1 3 2 1 2 1e300 0 0"),
         "a.ies:7: error: the luminous opening is over 1,000,000 m across; sizes are in feet (1) or metres "
         "(2) as the number before them says; these look like "
         "inches or millimetres"},
        {text_with(&Parts::three, "1 1 1e300"),
         "a.ies:8: error: the input watts are 1e300; no luminaire takes that much; check that no number is "
         "missing or too many"},
        {text_with(&Parts::tilt, "TILT=lamp.tlt"),
         "a.ies:6: error: the tilt file \"lamp.tlt\" cannot be read; put it beside this file, or write "
         "TILT=NONE where the output does not depend on tilt"},
        {text_with(&Parts::tilt, "TILT=INCLUDE\n4\n2\n0 90\n1 0.9"),
         "a.ies:7: error: the lamp's geometry is 4; give a whole number from 1 to 3"},
        {text_with(&Parts::tilt, "TILT=INCLUDE\n1\n0\n"),
         "a.ies:8: error: the number of tilt angles is 0; give a whole number from 1 to 1000"},
        {text_with(&Parts::tilt, "TILT=INCLUDE\n1\n3\n0 90 45\n1 0.9 0.8"),
         "a.ies:9: error: tilt angle 45 is not greater than the one before; check the tilt angles and their "
         "count"},
        {text_with(&Parts::tilt, "TILT=INCLUDE\n1\n2\n0 90\n1 -0.9"),
         "a.ies:10: error: tilt multiplier -0.9 is negative; it multiplies the candela; give 0 or more"},
        {text_with(&Parts::ten, "0 -1 1 3 2 1 2 0 0 0"),
         "a.ies:7: error: the number of lamps is 0; give a whole number from 1 to 1000"},
        {text_with(&Parts::ten, "1 -1 0 3 2 1 2 0 0 0"),
         "a.ies:7: error: the candela multiplier is 0; it multiplies every candela value; give a number "
         "above 0"},
        {text_with(&Parts::ten, "1 -1 -1 3 2 1 2 0 0 0"),
         "a.ies:7: error: the candela multiplier is -1; it multiplies every candela value; give a number "
         "above 0"},
        {text_with(&Parts::ten, "1 -1 one 3 2 1 2 0 0 0"),
         "a.ies:7: error: \"one\" stands where the candela multiplier belongs; put a number there"},
        {text_with(&Parts::ten, "1 nan 1 3 2 1 2 0 0 0"),
         "a.ies:7: error: \"nan\" stands where the number of lumens per lamp belongs; put a number there"},
        {text_with(&Parts::ten, "1 -1 inf 3 2 1 2 0 0 0"),
         "a.ies:7: error: \"inf\" stands where the candela multiplier belongs; put a number there"},
        {text_with(&Parts::candela, "100 2e9 0\n100 30 0"),
         "a.ies:11: error: candela value 2e9 is too large; with its multipliers it must stay below "
         "1,000,000,000"},
        {text_with(&Parts::ten, "1 -1 1e999 3 2 1 2 0 0 0"),
         "a.ies:7: error: \"1e999\" stands where the candela multiplier belongs; check its exponent: the "
         "number "
         "is greater or smaller than any that is read"},
        {text_with(&Parts::ten, "1 -1 1 1 2 1 2 0 0 0"),
         "a.ies:7: error: the number of vertical angles is 1; give a whole number from 2 to 2000"},
        {text_with(&Parts::ten, "1 -1 1 3.5 2 1 2 0 0 0"),
         "a.ies:7: error: the number of vertical angles is 3.5; give a whole number from 2 to 2000"},
        {text_with(&Parts::ten, "1 -1 1 3 0 1 2 0 0 0"),
         "a.ies:7: error: the number of horizontal angles is 0; give a whole number from 1 to 2000"},
        {text_with(&Parts::ten, "1 -1 1 3 999999999 1 2 0 0 0"),
         "a.ies:7: error: the number of horizontal angles is 999999999; give a whole number from 1 to 2000"},
        {text_with(&Parts::ten, "1 -1 1 2000 2000 1 2 0 0 0"),
         "a.ies:12: error: 2000 vertical and 2000 horizontal angles with their candela are 4004000 numbers, "
         "but 11 "
         "follow; the file is cut short, or a count of angles is wrong"},
        {text_with(&Parts::ten, "1 -1 1 3 1 2 2 0 0 0"),
         "a.ies:7: error: a type A or B file has one horizontal angle; two or more are needed; a beam that "
         "is "
         "the same all round is type C (1)"},
        {type_ab("3 2 2", "0 45 190", "0 90"),
         "a.ies:9: error: vertical angle 190 is outside -180 to 180; " + counts},
        {type_ab("3 2 2", "0 45 90", "0 95"),
         "a.ies:10: error: horizontal angle 95 is outside -90 to 90; " + counts},
        {type_ab("3 2 3", "0 45 95", "0 90"),
         "a.ies:9: error: vertical angle 95 is outside -90 to 90; " + counts},
        {type_ab("3 2 3", "0 45 90", "0 190"),
         "a.ies:10: error: horizontal angle 190 is outside -180 to 180; " + or_type_c},
        {type_ab("3 2 3", "10 45 90", "0 90"), "a.ies:9: error: the vertical angles run from 10 to 90; types "
                                               "A and B begin at 0, when both sides are "
                                               "alike, or below 0"},
        {type_ab("3 2 2", "0 45 90", "5 90"),
         "a.ies:10: error: the horizontal angles run from 5 to 90; types A and B begin at 0, when both sides "
         "are alike, or below 0"},
        {text_with(&Parts::ten, "1 -1 1 3 2 4 2 0 0 0"),
         "a.ies:7: error: the photometric type (1 C, 2 B, 3 A) is 4; give a whole number from 1 to 3"},
        {text_with(&Parts::ten, "1 -1 1 3 2 1 3 0 0 0"),
         "a.ies:7: error: the unit of the opening (1 feet, 2 metres) is 3; give a whole number from 1 to 2"},
        {text_with(&Parts::three, "0 1 5"),
         "a.ies:8: error: the ballast factor is 0; it multiplies every candela value; give a number above 0"},
        {text_with(&Parts::vertical, "0 90 45"),
         "a.ies:9: error: vertical angle 45 follows 90; each angle must be greater than the one before; " +
             counts},
        {text_with(&Parts::vertical, "0 45 45"),
         "a.ies:9: error: vertical angle 45 follows 45; each angle must be greater than the one before; " +
             counts},
        {text_with(&Parts::vertical, "0 45 181"),
         "a.ies:9: error: vertical angle 181 is outside 0 to 180; " + counts},
        {text_with(&Parts::vertical, "-90 0 90"),
         "a.ies:9: error: vertical angle -90 is outside 0 to 180; " + counts},
        {text_with(&Parts::vertical, "0 45\xB0 90"),
         "a.ies:9: error: \"45\xC2\xB0\" stands where a vertical angle belongs; put a number there"},
        {text_with(&Parts::horizontal, "-180 180"),
         "a.ies:10: error: horizontal angle -180 is outside 0 to 360; " + counts},
        {text_with(&Parts::horizontal, "90 0"),
         "a.ies:10: error: horizontal angle 0 follows 90; each angle must be greater than the one before; " +
             counts},
        {text_with(&Parts::horizontal, "0 80"),
         "a.ies:10: error: the horizontal angles run from 0 to 80; type C has "
         "0; 0 to 90, 0 to 180 or 0 to 360; or 90 to 270"},
        {text_with(&Parts::horizontal, "10 90"),
         "a.ies:10: error: the horizontal angles run from 10 to 90; type C "
         "has 0; 0 to 90, 0 to 180 or 0 to 360; or 90 to 270"},
        {text_with(&Parts::candela, "100 50 0\n100 30"),
         "a.ies:12: error: 3 vertical and 2 horizontal angles with their candela are 11 numbers, but 10 "
         "follow; the "
         "file is cut short, or a count of angles is wrong"},
        {text_with(&Parts::candela, "100 50 0\n100 30 0\n100 20 0"),
         "a.ies:13: error: numbers after the last candela value: 3" + or_comma},
        {text_with(&Parts::candela, "100 50 0\n100 x 0"),
         "a.ies:12: error: \"x\" stands where a candela value belongs; put a number there"},
        {text_with(&Parts::candela, "100 50 0\n100 +-3 0"),
         "a.ies:12: error: \"+-3\" stands where a candela value belongs; put a number there"},
        {text_with(&Parts::candela, "100 50 0\n100 NaN 0"),
         "a.ies:12: error: \"NaN\" stands where a candela value belongs; put a number there"},
        {text_with(&Parts::candela, "100 50 0\n100 30 -0.6"),
         "a.ies:12: error: candela value -0.6 is negative" + noise},
        {text_with(&Parts::candela, "0 0 0\n0 0 0"),
         "a.ies:12: error: every candela value is 0; the lamp gives no light; check the file"},
        {replace_all(text_with(&Parts::candela, "100 50 0\n100 1e300 0"), "1 -1 1 3", "1 -1 1e20 3"),
         "a.ies:11: error: candela value 100 is too large; with its multipliers it must stay below "
         "1,000,000,000"},
        {std::string("\xFE\xFF\0I\0E\0S", 8),
         "a.ies:1: error: the file is UTF-16 text; save it as plain text (ASCII or UTF-8)"},
        {one_line,
         "a.ies:1: error: the whole file stands on one line; the version, each keyword, TILT= and the "
         "numbers begin lines of their own"},
        {text_with(&Parts::version, "IESNA:LM-63"),
         "a.ies:1: error: \"IESNA:LM-63\" is no known version" + read},
        {"[TEST] 1\n[MANUFAC] Sample Works\n",
         "a.ies:1: error: this is not an LM-63 file: it begins with \"[TEST] 1\"; the first line names the "
         "version, such as IESNA:LM-63-2002"},
        {text_with(&Parts::version, "IESNA2002 and a remark"),
         "a.ies:1: error: \"IESNA2002 and a remark\" is no known version" + read},
        {text_with(&Parts::tilt, "TILT NONE"),
         "a.ies:12: error: the file ends without a TILT= line; put TILT=NONE "
         "between the keywords and the numbers"},
        {text_with(&Parts::tilt, "[TILT=no such file]"),
         "a.ies:6: error: the tilt file \"no such file]\" cannot be read; put it beside this file, or write "
         "TILT=NONE where the output does not depend on tilt"},
        {text_with(&Parts::tilt, "TILT=INCLUDE"),
         "a.ies:7: error: the number of tilt angles is -1; give a whole "
         "number from 1 to 1000"},
        {text_with(&Parts::tilt, "TILT=INCLUDE\n1\n2000000000\n0 90"),
         "a.ies:8: error: the number of tilt angles is 2000000000; give a whole number from 1 to 1000"},
        {text_with(&Parts::tilt, "TILT=INCLUDE\n1\n2\n0 nan\n1 1"),
         "a.ies:9: error: \"nan\" stands where a tilt angle belongs; put a number there"},
        {text_with(&Parts::tilt, "TILT=INCLUDE\n1\n2\n0 90\n1 one"),
         "a.ies:10: error: \"one\" stands where a tilt multiplier belongs; put a number there"},
        {text_with(&Parts::tilt, "TILT=INCLUDE\nupright\n2\n0 90\n1 1"),
         "a.ies:7: error: \"upright\" stands where the lamp's geometry belongs; put a number there"},
        {text_with(&Parts::ten, "1.5 -1 1 3 2 1 2 0 0 0"),
         "a.ies:7: error: the number of lamps is 1.5; give a whole number from 1 to 1000"},
        {text_with(&Parts::ten, "-1 -1 1 3 2 1 2 0 0 0"),
         "a.ies:7: error: the number of lamps is -1; give a whole number from 1 to 1000"},
        {text_with(&Parts::ten, "1 lots 1 3 2 1 2 0 0 0"),
         "a.ies:7: error: \"lots\" stands where the number of lumens per lamp belongs; put a number there"},
        {text_with(&Parts::ten, "1 -1 1 -3 2 1 2 0 0 0"),
         "a.ies:7: error: the number of vertical angles is -3; give a whole number from 2 to 2000"},
        {text_with(&Parts::ten, "1 -1 1 1e15 2 1 2 0 0 0"),
         "a.ies:7: error: the number of vertical angles is 1e15; give a whole number from 2 to 2000"},
        {text_with(&Parts::ten, "1 -1 1 inf 2 1 2 0 0 0"),
         "a.ies:7: error: \"inf\" stands where the number of vertical angles belongs; put a number there"},
        {text_with(&Parts::ten, "1 -1 1 3 2.5 1 2 0 0 0"),
         "a.ies:7: error: the number of horizontal angles is 2.5; give a whole number from 1 to 2000"},
        {text_with(&Parts::ten, "1 -1 1 4 2 1 2 0 0 0"),
         "a.ies:12: error: 4 vertical and 2 horizontal angles with their candela are 14 numbers, but 11 "
         "follow; "
         "the file is cut short, or a count of angles is wrong"},
        {text_with(&Parts::ten, "1 -1 1 2 2 1 2 0 0 0"),
         "a.ies:10: error: horizontal angle 0 follows 90; each angle must be greater than the one before; " +
             counts},
        {text_with(&Parts::ten, "1 -1 1 2 3 1 2 0 0 0"),
         "a.ies:10: error: horizontal angle 0 follows 90; each angle must be greater than the one before; " +
             counts},
        {text_with(&Parts::ten, "1 -1 1 3 1 1 2 0 0 0"),
         "a.ies:11: error: numbers after the last candela value: 4" + or_comma},
        {text_with(&Parts::ten, "1 -1 1 3 2 0 2 0 0 0"),
         "a.ies:7: error: the photometric type (1 C, 2 B, 3 A) is 0; give a whole number from 1 to 3"},
        {text_with(&Parts::ten, "1 -1 1 3 2 C 2 0 0 0"), "a.ies:7: error: \"C\" stands where the photometric "
                                                         "type (1 C, 2 B, 3 A) belongs; put a number there"},
        {text_with(&Parts::ten, "1 -1 1 3 2 1 2 0,1m 0 0"),
         "a.ies:7: error: \"1m\" stands where the length of the opening belongs; put a number there"},
        {text_with(&Parts::ten, "1 -1 1 3 2 1 2 wide 0 0"),
         "a.ies:7: error: \"wide\" stands where the width of the opening belongs; put a number there"},
        {text_with(&Parts::ten, "1 -1 1 3 2 1 2 0 0 -inf"),
         "a.ies:7: error: \"-inf\" stands where the height of the opening belongs; put a number there"},
        {text_with(&Parts::three, "-1 1 5"), "a.ies:8: error: the ballast factor is -1; it multiplies every "
                                             "candela value; give a number above 0"},
        {text_with(&Parts::three, "1 x 5"),
         "a.ies:8: error: \"x\" stands where the 12th number belongs; put a number there"},
        {text_with(&Parts::three, "1 1 5W"),
         "a.ies:8: error: \"5W\" stands where the number of input watts belongs; put a number there"},
        {text_with(&Parts::vertical, "0 nan 90"),
         "a.ies:9: error: \"nan\" stands where a vertical angle belongs; put a number there"},
        {text_with(&Parts::vertical, "0 45 45.0000002"),
         "a.ies:9: error: vertical angle 45.0000002 follows 45; each angle must be greater than the one "
         "before; " +
             counts},
        {text_with(&Parts::vertical, "0 45 1e-999"), "a.ies:9: error: \"1e-999\" stands where a vertical "
                                                     "angle belongs; check its exponent: the number is "
                                                     "greater or smaller than any that is read"},
        {text_with(&Parts::horizontal, "0 0.0005"),
         "a.ies:10: error: horizontal angle 0.0005 follows 0; they are one plane; leave one of the two out"},
        {text_with(&Parts::horizontal, "0 361"),
         "a.ies:10: error: horizontal angle 361 is outside 0 to 360; " + counts},
        {text_with(&Parts::horizontal, "90 180"),
         "a.ies:10: error: the horizontal angles run from 90 to 180; type C has "
         "0; 0 to 90, 0 to 180 or 0 to 360; or 90 to 270"},
        {text_with(&Parts::horizontal, "0 inf"),
         "a.ies:10: error: \"inf\" stands where a horizontal angle belongs; put a number there"},
        {type_ab("3 2 3", "0 45 90", "0 360"),
         "a.ies:10: error: horizontal angle 360 is outside -180 to 180; " + or_type_c},
        {type_ab("3 2 2", "0 45 90", "0 360"),
         "a.ies:10: error: horizontal angle 360 is outside -90 to 90; " + or_type_c},
        {type_ab("3 2 2", "0 90 45", "0 90"),
         "a.ies:9: error: vertical angle 45 follows 90; each angle must be greater than the one before; " +
             counts},
        {text_with(&Parts::candela, "100,5 50 0\n100,5 30 0"),
         "a.ies:12: error: numbers after the last candela value: 2" + or_comma},
        {text_with(&Parts::candela, "100;50;0\n100;30;0"),
         "a.ies:12: error: 3 vertical and 2 horizontal angles with their candela are 11 numbers, but 7 "
         "follow; "
         "the file is cut short, or a count of angles is wrong"},
        {text_with(&Parts::candela, "100 1,000,000 0\n100 30 0"),
         "a.ies:12: error: numbers after the last candela value: 2" + or_comma},
        {text_with(&Parts::candela, "100 -inf 0\n100 30 0"),
         "a.ies:11: error: \"-inf\" stands where a candela value belongs; put a number there"},
        {text_with(&Parts::candela, "100 5O 0\n100 30 0"),
         "a.ies:11: error: \"5O\" stands where a candela value belongs; put a number there"},
        {text_with(&Parts::candela, "100 0x32 0\n100 30 0"),
         "a.ies:11: error: \"0x32\" stands where a candela value belongs; put a number there"},
        {text_with(&Parts::candela, "-100 -50 0\n-100 -30 0"),
         "a.ies:11: error: candela value -100 is negative" + noise},
        {text_with(&Parts::ten, "1 -1 1e-12 3 2 1 2 0 0 0"),
         "a.ies:12: error: the greatest intensity is 1e-10 cd; no lamp is that faint; check the candela "
         "multiplier and the ballast factor"},
        {"IESNA91\nTILT=INCLUDE\n1\n3\n0 45",
         "a.ies:5: error: the file ends where a tilt angle belongs; the file is cut short"},
        {"IESNA91\nTILT=NONE\n",
         "a.ies:2: error: the file ends where the number of lamps belongs; the file is cut "
         "short"},
        {"IESNA91\nTILT=NONE\n1 -1 1 3 2 1 2 0 0",
         "a.ies:3: error: the file ends where the height of the opening belongs; the file is cut short"},
        {"IESNA91\nTILT=NONE\n1 -1 1 2 1 1 2 0 0 0\n1 0 5\n0 90\n0\n1 0",
         "a.ies:4: error: the ballast-lamp photometric factor is 0; it multiplies every candela value; give "
         "a "
         "number above 0"},
    };
    std::set<std::string> messages;
    for (const Row& row : rows) {
        CAPTURE(row.text);
        CHECK(message_of(row.text) == row.message);
        messages.insert(row.message);
    }
    CHECK(messages.size() >= 100); // none of the cases lost, none twice
}

TEST_CASE("a file cut off anywhere is refused or read, never worse") {
    const std::string sound = Parts().text();
    int refused = 0;
    for (std::size_t length = 0; length < sound.size(); ++length) {
        try {
            read_lm63(sound.substr(0, length), "a.ies");
        } catch (const InputError& error) {
            CHECK(error.problems().size() == 1);
            ++refused;
        }
    }
    // Only the text without its last line end is still whole.
    CHECK(refused == static_cast<int>(sound.size()) - 1);
}

TEST_CASE("any byte may be wrong") {
    const std::string sound = Parts().text();
    for (std::size_t at = 0; at < sound.size(); ++at)
        for (const char c : {'\0', '\xFF', '\n', ',', '-', '9', '[', 'e', '\x1A'}) {
            std::string text = sound;
            text[at] = c;
            try {
                const Lm63 file = read_lm63(text, "a.ies");
                CHECK(measure_max_candela(file.distribution) > 0);
            } catch (const InputError& error) {
                CHECK(std::string(error.what()).starts_with("a.ies:"));
            }
        }
}

TEST_CASE("a file that is not there is an error of the input") {
    const auto message = [](const std::filesystem::path& path) {
        try {
            read_lm63_file(path);
        } catch (const InputError& error) {
            return std::string(error.what());
        }
        return std::string("nothing was thrown");
    };
    CHECK(message("no-such-lamp.ies") ==
          "no-such-lamp.ies: error: the file cannot be read; check its name and folder");
    const std::filesystem::path folder = std::filesystem::path(DUSKCAST_TEST_DIR) / "photometry";
    CHECK(message(folder) ==
          folder.generic_string() + ": error: the file cannot be read; check its name and folder");

    const std::filesystem::path large = std::filesystem::temp_directory_path() / "duskcast-large-lamp.ies";
    std::ofstream(large) << "IESNA91\n";
    std::filesystem::resize_file(large, (64u << 20) + 1); // a hole: takes no room on the disk
    CHECK(message(large) ==
          large.generic_string() +
              ": error: the file is larger than 64 MB; no photometric file is, check its name");
    std::filesystem::remove(large);
}

TEST_CASE("planes that stop short of a whole turn are named") {
    Parts parts;
    parts.ten = "1 -1 1 3 3 1 2 0.1 0.1 0";
    parts.candela = "100 50 0\n100 30 0\n100 40 0";
    parts.horizontal = "0 135 270"; // 90 are left, less than a step
    CHECK(warnings_of(parts.text()) ==
          std::vector<std::string>{"a.ies:10: warning: the horizontal angles end at 270; the planes "
                                   "from there to 360 are interpolated"});
    parts.horizontal = "0 120 240"; // even all round
    CHECK(warnings_of(parts.text()).empty());
}
