#include <gmock/gmock.h>

#include <map>
#include <regex>

#include "files.hpp"
#include "plumbstack/base/error_codes.hpp"
#include "plumbstack/base/geometry.hpp"

namespace plumbstack {
namespace {

using testing::ElementsAre;
using testing::IsEmpty;
using testing::Not;

std::string source(const std::string& file) {
  return test::read_text(std::string(PLUMBSTACK_SOURCE_DIR) + "/" + file);
}

std::map<int, std::string> pairs(const std::string& text, const char* pattern, int number,
                                 int name) {
  std::map<int, std::string> found;
  const std::regex line(pattern);
  for (std::sregex_iterator it(text.begin(), text.end(), line), end; it != end; ++it)
    found[std::stoi((*it)[static_cast<std::size_t>(number)])] =
        (*it)[static_cast<std::size_t>(name)];
  return found;
}

TEST(ExitCodes, ReadmeTableEqualsTheHeader) {
  const std::string header = source("include/plumbstack/base/error_codes.hpp");
  const auto from = header.find("enum class ExitCode");
  ASSERT_NE(from, std::string::npos);
  const auto in_header =
      pairs(header.substr(from, header.find("};", from) - from), R"((\w+) = (\d+))", 2, 1);
  const auto in_readme = pairs(source("README.md"), R"(\n\| (\d+) \| `(\w+)` \|)", 1, 2);
  EXPECT_THAT(in_header, Not(IsEmpty()));
  EXPECT_EQ(in_readme, in_header);
}

TEST(ExitCodes, EveryErrorHasTheOneThatItsRangeCallsFor) {
  const std::string header = source("include/plumbstack/base/error_codes.hpp");
  const auto codes =
      pairs(header.substr(0, header.find("enum class ExitCode")), R"((\w+) = (\d+))", 2, 1);
  EXPECT_THAT(codes, Not(IsEmpty()));
  for (const auto& [code, name] : codes) {
    const ExitCode expected = code < 20    ? ExitCode::bad_input
                              : code < 30  ? ExitCode::usage
                              : code < 40  ? ExitCode::output
                              : code < 50  ? ExitCode::internal
                              : code < 100 ? ExitCode::bad_input
                                           : ExitCode::internal;
    EXPECT_EQ(exit_code_of(static_cast<ErrorCode>(code)), expected) << name;
  }
}

TEST(Geometry, OppositesAndNames) {
  for (const Edge edge : {Edge::top, Edge::bottom, Edge::left, Edge::right}) {
    EXPECT_NE(opposite(edge), edge);
    EXPECT_EQ(opposite(opposite(edge)), edge);
  }
  EXPECT_EQ(opposite(Edge::top), Edge::bottom);
  EXPECT_EQ(opposite(Edge::left), Edge::right);
  EXPECT_STREQ(name_of(other(End::left)), "right");
  EXPECT_STREQ(name_of(other(Sign::plus)), "-");
  EXPECT_STREQ(name_of(Edge::bottom), "bottom");
}

TEST(Geometry, MapsThroughAHomography) {
  const cv::Matx33d shift_and_scale(2, 0, 10, 0, 3, 20, 0, 0, 1);
  EXPECT_EQ(map_point(shift_and_scale, {1, 1}), cv::Point2d(12, 23));
  const cv::Matx33d vanishing(1, 0, 0, 0, 1, 0, 0.5, 0, 1);
  EXPECT_EQ(map_point(vanishing, {2, 4}), cv::Point2d(1, 2));
}

TEST(Geometry, HalfTurnSwapsOppositeCorners) {
  const Quad quad{{{0, 0}, {4, 0}, {4, 1}, {0, 1}}};
  EXPECT_THAT(half_turned(quad), ElementsAre(quad[2], quad[3], quad[0], quad[1]));
  EXPECT_EQ(half_turned(half_turned(quad)), quad);
}

TEST(Geometry, NearestQuarterTurn) {
  const std::map<double, int> expected{{0, 0},      {44, 0},    {46, 90},   {-44, 0},
                                       {-46, 270},  {180, 180}, {315.5, 0}, {359, 0},
                                       {-180, 180}, {450, 90},  {-270, 90}};
  for (const auto& [degrees, quarter] : expected)
    EXPECT_EQ(nearest_quarter_turn(degrees), quarter) << degrees;
}

}  // namespace
}  // namespace plumbstack
