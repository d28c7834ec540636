// The store, on SQLite and on PostgreSQL alike: nothing acknowledged is lost, nothing changed goes
// unseen, no photo serves twice.
#include <map>
#include <thread>

#include "store_fixture.hpp"

namespace plumbstack {
namespace {

using test::always;
using test::kAt;
using test::kBy;
using test::Row;
using testing::HasSubstr;

using Store = test::StoreTest;

Row closed_row() {
  Row row;
  row.before_stacking().stacked().add(test::result_fact("pass")).bussed();
  return row.add(Signed{}, "R. Second").add(Closed{});
}

TEST_F(Store, KeepsAJobFromOpeningToClosing) {
  const Row row = closed_row();
  {
    JobStore store = this->store();
    test::write_row(store, "FL-0142", row);
  }
  JobStore again = this->store();
  const auto entries = again.entries("FL-0142");
  ASSERT_TRUE(entries) << entries.error().message;
  EXPECT_EQ(entries->size(), row.entries.size());
  EXPECT_THAT(job_state(*entries).unfinished, testing::IsEmpty());
  const auto head = again.verify("FL-0142");
  ASSERT_TRUE(head) << head.error().message;
  EXPECT_EQ(*head, again.sealed_entries("FL-0142")->back().hash);
}

TEST_F(Store, TellsWhatIsThereAndWhatIsNot) {
  JobStore store = this->store();
  ASSERT_TRUE(store.open_job("FL-0142", test::opened_fact(), kBy, kAt));
  EXPECT_EQ(store.open_job("FL-0142", test::opened_fact(), kBy, kAt).error().code,
            ErrorCode::job_refused);
  EXPECT_EQ(store.append("FL-0143", kBy, kAt, always(Signed{})).error().code,
            ErrorCode::job_unknown);
  EXPECT_EQ(store.entries("FL-0143").error().code, ErrorCode::job_unknown);
  EXPECT_EQ(store.verify("FL-0143").error().code, ErrorCode::job_unknown);
}

TEST_F(Store, NothingIsWrittenWhereTheDecisionIsNo) {
  JobStore store = this->store();
  ASSERT_TRUE(store.open_job("FL-0142", test::opened_fact(), kBy, kAt));
  const auto refused = store.append("FL-0142", kBy, kAt, [](const auto&) -> Result<Fact> {
    return fail(ErrorCode::job_refused, "no");
  });
  EXPECT_EQ(refused.error().message, "no");
  EXPECT_EQ(store.entries("FL-0142")->size(), 1u);
}

TEST_F(Store, NothingFollowsAClosedJob) {
  JobStore store = this->store();
  test::write_row(store, "FL-0142", closed_row());
  const auto late = store.append("FL-0142", kBy, kAt, always(LineTicked{"sensors", true, {}, ""}));
  EXPECT_EQ(late.error().code, ErrorCode::job_refused);
  EXPECT_THAT(late.error().message, HasSubstr("was closed"));
}

TEST_F(Store, TheDatabaseItselfRefusesToChangeAnEntry) {
  JobStore store = this->store();
  test::write_row(store, "FL-0142", Row());
  EXPECT_THROW(behind_the_back({"UPDATE entries SET text = ''"}), soci::soci_error);
  EXPECT_THROW(behind_the_back({"DELETE FROM entries"}), soci::soci_error);
}

TEST_F(Store, VerifyNamesTheEntryThatWasChanged) {
  JobStore store = this->store();
  test::write_row(store, "FL-0142", closed_row());
  test::write_row(store, "FL-0143", Row());
  behind_the_back(
      unguarded({"UPDATE entries SET text = replace(text, 'FL-603', 'FL-699') WHERE job "
                 "= 'FL-0142' AND place = 3"}));
  const auto verified = store.verify("FL-0142");
  ASSERT_FALSE(verified);
  EXPECT_EQ(verified.error().where, "job FL-0142, entry 3");
  EXPECT_THAT(verified.error().message, HasSubstr("was changed"));
  EXPECT_TRUE(store.verify("FL-0143"));
  EXPECT_EQ(store.append("FL-0142", kBy, kAt, always(Signed{})).error().code,
            ErrorCode::record_damaged);
}

TEST_F(Store, VerifySeesALostEntryALostFileAndAFalseIndex) {
  JobStore store = this->store();
  test::write_row(store, "FL-0142", closed_row());
  const auto files = files_of((*store.entries("FL-0142"))[1].fact);
  std::filesystem::remove(store.files().path_of(files[0]));
  EXPECT_EQ(store.verify("FL-0142").error().where, "job FL-0142, entry 2");
  ASSERT_TRUE(store.files().keep(files[0].name, files[0].name));
  EXPECT_TRUE(store.verify("FL-0142"));
  std::ofstream(store.files().path_of(files[0]), std::ios::app) << "more";
  EXPECT_THAT(store.verify("FL-0142").error().message, HasSubstr("was changed"));
  ASSERT_TRUE(store.files().keep(files[0].name, files[0].name));  // is written anew
  EXPECT_TRUE(store.verify("FL-0142"));
  behind_the_back({"UPDATE modules SET serial = 'FL-999' WHERE slot = 2"});
  EXPECT_THAT(store.verify("FL-0142").error().message, HasSubstr("index"));
  behind_the_back({"UPDATE modules SET serial = 'FL-602' WHERE slot = 2"});
  EXPECT_TRUE(store.verify("FL-0142"));
  behind_the_back(unguarded({"DELETE FROM entries WHERE place = 20"}));
  EXPECT_EQ(store.verify("FL-0142").error().where, "job FL-0142, entry 19");
  behind_the_back({"DELETE FROM entries WHERE place = 5"});
  EXPECT_EQ(store.verify("FL-0142").error().where, "job FL-0142, entry 5");
  behind_the_back({"DELETE FROM entries"});
  EXPECT_EQ(store.verify("FL-0142").error().code, ErrorCode::record_damaged);
}

// A damaged index answers that a module is in no pack.
TEST_F(Store, NoByteOfASerialChangesUnnoticed) {
  if (on_postgresql_) return;  // its files are its own
  Row row;
  row.add(test::plan_fact());
  {
    JobStore store = this->store();
    test::write_row(store, "FL-0142", row);
    EXPECT_TRUE(store.check_database());
  }
  const std::string whole = test::read_text(location_.database);
  int places = 0;
  for (auto at = whole.find("FL-602"); at != std::string::npos; at = whole.find("FL-602", at + 1)) {
    std::string other = whole;
    other[at + 5] = '7';
    std::ofstream(location_.database, std::ios::binary) << other;
    const auto store = JobStore::open(location_, false);
    ASSERT_TRUE(store);
    EXPECT_FALSE(store->verify("FL-0142") && store->check_database()) << at;
    ++places;
  }
  EXPECT_GT(places, 1);
}

TEST_F(Store, APhotoServesOneSideOfOneJob) {
  JobStore store = this->store();
  test::write_row(store, "FL-0142", Row().add(test::result_fact("fix")));
  test::write_row(store, "FL-0143", Row());
  const auto other_job = store.append("FL-0143", kBy, kAt, always(test::result_fact("pass")));
  ASSERT_FALSE(other_job);
  EXPECT_THAT(other_job.error().message, HasSubstr("serves job FL-0142 already"));
  EXPECT_EQ(store.entries("FL-0143")->size(), 1u);
  ResultAttached swapped = test::result_fact("pass");
  std::swap(swapped.photos[0].file, swapped.photos[1].file);
  EXPECT_THAT(store.append("FL-0142", kBy, kAt, always(swapped)).error().message,
              HasSubstr("is there already as"));
  ResultAttached same = test::result_fact("pass");
  same.photos[1].file = same.photos[0].file;
  EXPECT_FALSE(store.append("FL-0142", kBy, kAt, always(same)));
  // The same photos may be looked at again as long as the stack was left alone.
  EXPECT_TRUE(store.append("FL-0142", kBy, kAt, always(test::result_fact("retake"))));
  ASSERT_TRUE(store.append("FL-0142", kBy, kAt, always(ModulesLifted{{2}, "turned", 2})));
  EXPECT_THAT(store.append("FL-0142", kBy, kAt, always(test::result_fact("pass"))).error().message,
              HasSubstr("from before the stack was touched or came into doubt (entry 4)"));
}

TEST_F(Store, ANewerStoreIsRefused) {
  this->store();
  behind_the_back({"UPDATE store_version SET version = 2"});
  const auto opened = JobStore::open(location_, true);
  ASSERT_FALSE(opened);
  EXPECT_EQ(opened.error().code, ErrorCode::store_unusable);
  EXPECT_THAT(opened.error().message, HasSubstr("newer plumbstack"));
}

TEST_F(Store, IsNotMadeUnlessAskedFor) {
  const auto opened = JobStore::open(location_, false);
  ASSERT_FALSE(opened);
  EXPECT_EQ(opened.error().code, ErrorCode::store_unusable);
}

TEST_F(Store, FindsByWhatTheRecordHolds) {
  JobStore store = this->store();
  Row fixed;
  fixed.add(test::plan_fact("FL-"));
  fixed.add(test::result_fact("fix", {{"number.order", "fix", "number", {2}, "swapped"}}));
  test::write_row(store, "FL-0142", fixed);
  Row other;
  other.add(test::plan_fact("GL-"));
  test::write_row(store, "FL-0143", other);
  const auto found = [&](const JobQuery& query) {
    std::vector<std::string> numbers;
    const auto jobs = store.find(query, 100);
    for (const FoundJob& job : *jobs) numbers.push_back(job.number);
    return numbers;
  };
  using testing::ElementsAre;
  const auto query = [](auto set) {
    JobQuery one;
    set(one);
    return one;
  };
  EXPECT_THAT(found({}), ElementsAre("FL-0142", "FL-0143"));
  EXPECT_THAT(found(query([](JobQuery& q) { q.serial = "GL-603"; })), ElementsAre("FL-0143"));
  EXPECT_THAT(found(query([](JobQuery& q) { q.serial = "GL-60"; })), ElementsAre());
  EXPECT_THAT(found(query([](JobQuery& q) { q.number = 3; })), ElementsAre("FL-0142", "FL-0143"));
  EXPECT_THAT(found(query([](JobQuery& q) { q.number = 3, q.serial = "FL-604"; })), ElementsAre());
  EXPECT_THAT(found(query([](JobQuery& q) { q.number = 4, q.serial = "FL-604"; })),
              ElementsAre("FL-0142"));
  EXPECT_THAT(found(query([](JobQuery& q) { q.finding = "number.order"; })),
              ElementsAre("FL-0142"));
  EXPECT_THAT(found(query([](JobQuery& q) { q.pack = "short-4"; })),
              ElementsAre("FL-0142", "FL-0143"));
  EXPECT_THAT(found(query([](JobQuery& q) { q.verdict = "none"; })), ElementsAre("FL-0143"));
  EXPECT_THAT(found(query([](JobQuery& q) { q.standing = "closed"; })), ElementsAre());
  EXPECT_THAT(found(query([](JobQuery& q) { q.from = q.to = "2026-03-02"; })),
              ElementsAre("FL-0142", "FL-0143"));
  EXPECT_THAT(found(query([](JobQuery& q) { q.from = "2026-03-03"; })), ElementsAre());
  EXPECT_THAT(found(query([](JobQuery& q) { q.to = "2026-03-01"; })), ElementsAre());
  const auto modules =
      store.find(query([](JobQuery& q) { q.serial = "FL-604"; }), 9)->at(0).modules;
  ASSERT_EQ(modules.size(), 1u);
  EXPECT_EQ(modules[0].slot, 4);
  EXPECT_THAT(*store.find({}, 1), testing::SizeIs(1));
}

TEST_F(Store, TwoWritersAtOnceLoseNothing) {
  constexpr int kEach = 25;
  {
    JobStore store = this->store();
    test::write_row(store, "FL-0142", Row());
  }
  std::vector<std::thread> writers;
  for (const char* name : {"M. Fennel", "R. Second", "T. Third"})
    writers.emplace_back([this, name] {
      JobStore store = this->store();
      for (int i = 0; i < kEach; ++i) {
        const LineTicked tick{"sensors", true, {}, name + std::to_string(i)};
        const auto done = store.append("FL-0142", name, kAt, always(tick));
        ASSERT_TRUE(done) << done.error().message;
      }
    });
  for (std::thread& writer : writers) writer.join();
  JobStore store = this->store();
  const auto entries = store.entries("FL-0142");
  ASSERT_TRUE(entries) << entries.error().message;
  EXPECT_EQ(entries->size(), 1u + 3 * kEach);
  std::map<std::string, int> next;  // each writer's own, in its order
  for (const JobEntry& entry : *entries)
    if (const auto* tick = std::get_if<LineTicked>(&entry.fact)) {
      EXPECT_EQ(tick->note, entry.by + std::to_string(next[entry.by]++));
    }
}

TEST_F(Store, ManyMayMakeItAtOnce) {
  std::vector<std::thread> makers;
  for (int i = 0; i < 6; ++i)
    makers.emplace_back([this, i] {
      JobStore store = this->store();
      EXPECT_TRUE(store.open_job("FL-" + std::to_string(i), test::opened_fact(), kBy, kAt));
    });
  for (std::thread& maker : makers) maker.join();
  EXPECT_EQ(store().numbers()->size(), 6u);
}

TEST_F(Store, TakesInWholeJobsOrNone) {
  JobStore store = this->store();
  test::write_row(store, "FL-0142", closed_row());
  auto one = *store.sealed_entries("FL-0142");
  const auto twice = store.take_in({one});
  ASSERT_FALSE(twice);
  EXPECT_THAT(twice.error().message, HasSubstr("is there already"));
  Row other;
  other.entries[0].job = "FL-0150";
  const auto sealed = *seal(other.entries[0], kNoEntry);
  one[3].text[20] = '9';
  EXPECT_FALSE(store.take_in({{sealed}, one}));
  EXPECT_EQ(store.numbers()->size(), 1u);
  EXPECT_TRUE(store.take_in({{sealed}}));
  EXPECT_EQ(store.numbers()->size(), 2u);
}

}  // namespace
}  // namespace plumbstack
