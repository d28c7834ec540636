// The chain: every kind of entry comes back as it was, and no change goes unseen.
#include <gmock/gmock.h>

#include "job_fixture.hpp"

namespace plumbstack {
namespace {

using test::Row;
using testing::HasSubstr;

Row every_kind() {
  Row row;
  row.before_stacking().add(test::result_fact("retake", {test::unsure("number", {2})}));
  row.add(test::confirmation(row.last(), 2, "2"));
  row.add(PhotoAttached{test::file_of("b.jpg"), "bussed-photo", "2026:03:02 10:00:00"});
  row.add(FiguresCorrected{6, "module-voltages", {7.85}, {7.5}, "read the wrong line"});
  row.add(ModulesLifted{{1, 3}, "ein Gewinde, ü", 0}).add(Signed{"seen"}, "R. Second");
  return row.add(Closed{"customer took it back"});
}

std::vector<SealedEntry> sealed(const std::vector<JobEntry>& entries) {
  std::vector<SealedEntry> all;
  for (const JobEntry& entry : entries)
    all.push_back(*seal(entry, all.empty() ? kNoEntry : all.back().hash));
  return all;
}

TEST(JobEntry, EveryKindComesBackAsItWas) {
  const Row row = every_kind();
  std::vector<bool> kinds(std::variant_size_v<Fact>);
  for (const JobEntry& entry : row.entries) {
    kinds[entry.fact.index()] = true;
    const SealedEntry first = *seal(entry, kNoEntry);
    EXPECT_EQ(seal(*parse_entry(first.text), kNoEntry)->text, first.text) << kind_of(entry.fact);
  }
  EXPECT_THAT(kinds, testing::Each(true));
}

TEST(JobEntry, TheTextIsSortedAndDense) {
  const JobEntry entry{"FL-1", 3, "2026-03-02T07:00:00Z", "M. Fennel", Signed{"a \"b\" ü"}};
  const SealedEntry one = *seal(entry, kNoEntry);
  EXPECT_EQ(one.text, std::string(R"({"at":"2026-03-02T07:00:00Z","before":")") + kNoEntry +
                          R"(","by":"M. Fennel","fact":{"note":"a \"b\" ü"},"job":"FL-1",)"
                          R"("kind":"signed","place":3,"schema":"plumbstack/job-entry/1"})");
}

TEST(Chain, HoldsAsItWasWritten) {
  const Row row = every_kind();
  const auto all = sealed(row.entries);
  const auto back = unsealed("FL-0142", all, all.back().hash);
  ASSERT_TRUE(back) << back.error().message;
  EXPECT_EQ(back->size(), row.entries.size());
}

TEST(Chain, NamesTheEntryThatWasChanged) {
  const auto all = sealed(every_kind().entries);
  for (std::size_t i = 0; i < all.size(); ++i) {
    for (std::size_t k = 0; k < all[i].text.size(); k += 7) {
      auto changed = all;
      changed[i].text[k] = static_cast<char>(changed[i].text[k] ^ 1);
      const auto back = unsealed("FL-0142", changed, all.back().hash);
      ASSERT_FALSE(back);
      EXPECT_EQ(back.error().where, "job FL-0142, entry " + std::to_string(i + 1));
      EXPECT_EQ(back.error().code, ErrorCode::record_damaged);
    }
  }
}

TEST(Chain, NamesTheEntryThatWasChangedAndHashedAnew) {
  const Row row = every_kind();
  const auto all = sealed(row.entries);
  for (std::size_t i = 0; i + 1 < all.size(); ++i) {
    auto changed = all;
    JobEntry other = row.entries[i];
    other.by = "Somebody Else";
    changed[i] = *seal(other, i == 0 ? kNoEntry : all[i - 1].hash);
    const auto back = unsealed("FL-0142", changed, all.back().hash);
    ASSERT_FALSE(back);
    EXPECT_EQ(back.error().where, "job FL-0142, entry " + std::to_string(i + 2));
    EXPECT_THAT(back.error().message, HasSubstr("does not follow"));
  }
}

TEST(Chain, MissesWhatWasTakenOut) {
  const auto all = sealed(every_kind().entries);
  for (std::size_t i = 0; i < all.size(); ++i) {
    auto shorter = all;
    shorter.erase(shorter.begin() + static_cast<std::ptrdiff_t>(i));
    const auto back = unsealed("FL-0142", shorter, all.back().hash);
    ASSERT_FALSE(back);
    const std::size_t named = i + 1 == all.size() ? i : i + 1;
    EXPECT_EQ(back.error().where, "job FL-0142, entry " + std::to_string(named));
  }
  EXPECT_FALSE(unsealed("FL-0142", {}, all.back().hash));
}

TEST(Chain, AnEntryOfAnotherJobDoesNotFit) {
  auto all = sealed(every_kind().entries);
  EXPECT_FALSE(unsealed("FL-0143", all, all.back().hash));
}

TEST(JobEntry, OfANewerProgramIsRefusedAsSuch) {
  std::string text = seal(Row().entries[0], kNoEntry)->text;
  text.replace(text.find("job-entry/1"), 11, "job-entry/2");
  const auto back = parse_entry(text);
  ASSERT_FALSE(back);
  EXPECT_EQ(back.error().code, ErrorCode::store_unusable);
  EXPECT_THAT(back.error().message, HasSubstr("newer plumbstack"));
}

TEST(JobEntry, WhatIsNoEntryIsRefused) {
  for (const char* text : {"", "{}", "[]", "null", "{\"kind\":7}", "\xff"})
    EXPECT_FALSE(parse_entry(text)) << text;
  EXPECT_FALSE(seal({"FL-1", 1, "", "\xff", Signed{}}, kNoEntry));
}

TEST(JobEntry, NamesItsFilesOnce) {
  ResultAttached result = test::result_fact("pass");
  result.pictures = {test::file_of("report.html"), result.photos[0].file};
  const auto files = files_of(result);
  EXPECT_EQ(files.size(), 4u);
}

}  // namespace
}  // namespace plumbstack
