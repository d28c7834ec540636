// The steps that read.
#include <fmt/format.h>

#include <cstdlib>
#include <fstream>
#include <iterator>
#include <ostream>

#include "job_parts.hpp"

namespace plumbstack::job {

namespace {

// What is typed goes before what the environment says. (CLI11 would ask that for every step that
// has the option, and the last one asked would win.)
std::string or_environment(const std::string& typed, const char* variable) {
  const char* value = typed.empty() ? std::getenv(variable) : nullptr;
  return value ? value : typed;
}

}  // namespace

Result<JobStore> store_of(const JobArguments& a, bool create) {
  const auto location = store_location(or_environment(a.store, "PLUMBSTACK_STORE"),
                                       or_environment(a.files.string(), "PLUMBSTACK_FILES"));
  if (!location) return tl::unexpected(location.error());
  return JobStore::open(*location, create);
}

Result<std::string> read_whole(const std::filesystem::path& file, const std::string& what) {
  std::ifstream in(file, std::ios::binary);
  std::error_code error;
  if (!in || std::filesystem::is_directory(file, error))
    return fail(ErrorCode::document_invalid, "can't be read; check the name of the " + what,
                file.string());
  return std::string{std::istreambuf_iterator<char>(in), {}};
}

Result<Pack> pack_of(const JobStore& store, const std::string& number) {
  const auto entries = store.entries(number);
  if (!entries) return tl::unexpected(entries.error());
  const KeptFile& file = std::get<Opened>(entries->front().fact).pack;
  const auto text = store.files().bytes_of(file);
  if (!text) return tl::unexpected(text.error());
  return parse_pack(*text, file.name);
}

std::span<const std::uint8_t> bytes_in(const std::string& text) {
  return {reinterpret_cast<const std::uint8_t*>(text.data()), text.size()};
}

Result<ExitCode> show(const JobArguments& a, std::ostream& say) {
  const auto store = store_of(a);
  if (!store) return tl::unexpected(store.error());
  const auto entries = store->entries(a.number);
  if (!entries) return tl::unexpected(entries.error());
  say << (a.as_json ? job_json(*entries) : job_text(*entries));
  return ExitCode::pass;
}

Result<ExitCode> verify(const JobArguments& a, std::ostream& say) {
  if (!a.head.empty() && a.number.empty())
    return fail(ErrorCode::usage, "--head is of one job; name it");
  const auto store = store_of(a);
  if (!store) return tl::unexpected(store.error());
  if (a.number.empty()) {
    const auto numbers = store->numbers();
    if (!numbers) return tl::unexpected(numbers.error());
    for (const std::string& number : *numbers)
      if (const auto head = store->verify(number); !head) return tl::unexpected(head.error());
    if (const auto whole = store->check_database(); !whole) return tl::unexpected(whole.error());
    say << (numbers->size() == 1 ? "1 job is" : fmt::format("{} jobs are", numbers->size()))
        << " as written\n";
    return ExitCode::pass;
  }
  const auto head = store->verify(a.number);
  if (!head) return tl::unexpected(head.error());
  if (!a.head.empty() && a.head != *head)
    return fail(ErrorCode::record_damaged,
                "holds in itself, but its last hash is not the one noted: entries were added, or "
                "the whole record was exchanged",
                "job " + a.number);
  say << a.number << " is as written; last hash\n  " << *head << '\n';
  return ExitCode::pass;
}

Result<ExitCode> find(const JobArguments& a, std::ostream& say) {
  const auto store = store_of(a);
  if (!store) return tl::unexpected(store.error());
  auto found = store->find(a.query, a.most + 1);
  if (!found) return tl::unexpected(found.error());
  const bool more = found->size() > static_cast<std::size_t>(a.most);
  if (more) found->pop_back();
  for (const FoundJob& job : *found) {
    say << fmt::format("{:<16} {}  {:<12} {:<9} {}\n", job.number, job.opened_at.substr(0, 10),
                       job.pack, job.standing, job.verdict);
    for (const JobModule& module : job.modules)
      say << (module.place == JobModule::replaced
                  ? fmt::format("    {}  replaced\n", module.serial)
                  : fmt::format("    {}  slot {}, number {}, {}\n", module.serial, module.slot,
                                module.number, name_of(module.place)));
  }
  if (found->empty()) say << "no such job\n";
  if (more) say << "and more; narrow it down, or ask for more with --most\n";
  return ExitCode::pass;
}

}  // namespace plumbstack::job
