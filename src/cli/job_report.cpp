// The report, and a job carried from store to store: both show the whole record.
#include "plumbstack/job_report.hpp"

#include <ostream>

#include "job_parts.hpp"
#include "output_folder.hpp"
#include "plumbstack/base/staged_files.hpp"
#include "plumbstack/job_folder.hpp"

namespace plumbstack::job {
namespace {

constexpr const char* kPdf = "job-report.pdf";
constexpr const char* kPage = "job-report.html";

Paper paper_of(const JobArguments& a) {
  return a.paper == "letter" ? Paper::letter : Paper::a4;
}

Document report_of(const JobStore& store, Inspection record) {
  return job_report(
      {std::move(record), [&store](const KeptFile& file) { return store.files().bytes_of(file); }});
}

Result<void> write_report(const std::filesystem::path& folder, const Document& document,
                          Paper paper) {
  const auto pdf = document_pdf(document, paper);
  if (!pdf) return tl::unexpected(pdf.error());
  StagedFiles staged(folder);
  if (auto added = staged.add(kPage, document_html(document)); !added) return added;
  if (auto added = staged.add(kPdf, *pdf); !added) return added;
  return staged.commit();
}

}  // namespace

// A record that does not hold gets its report too, which says so; the exit status says it as well.
Result<ExitCode> report(const JobArguments& a, std::ostream& say) {
  const auto store = store_of(a);
  if (!store) return tl::unexpected(store.error());
  auto record = store->inspect(a.number);
  if (!record) return tl::unexpected(record.error());
  const auto out = OutputFolder::open(a.out);
  if (!out) return tl::unexpected(out.error());
  for (const char* name : {kPdf, kPage})
    if (auto retired = retire_file(a.out, name); !retired) return tl::unexpected(retired.error());
  const std::optional<Error> fault = record->fault;
  const Document document = report_of(*store, std::move(*record));
  if (auto written = write_report(a.out, document, paper_of(a)); !written)
    return tl::unexpected(written.error());
  say << document.standing.headline << '\n'
      << "  " << (a.out / kPdf).string() << "\n  " << (a.out / kPage).string() << '\n';
  if (fault) return tl::unexpected(*fault);
  return ExitCode::pass;
}

Result<ExitCode> export_to(const JobArguments& a, std::ostream& say) {
  const auto store = store_of(a);
  if (!store) return tl::unexpected(store.error());
  auto record = store->inspect(a.number);
  if (!record) return tl::unexpected(record.error());
  if (record->fault) return tl::unexpected(*record->fault);
  const std::string state = job_json(record->entries);
  const auto pdf = document_pdf(report_of(*store, std::move(*record)), paper_of(a));
  if (!pdf) return tl::unexpected(pdf.error());
  if (auto done = export_job(*store, a.number, a.out, {{"state.json", state}, {kPdf, *pdf}}); !done)
    return tl::unexpected(done.error());
  say << "  " << a.out.string() << '\n';
  return ExitCode::pass;
}

Result<ExitCode> import_from(const JobArguments& a, std::ostream& say) {
  auto store = store_of(a, true);
  if (!store) return tl::unexpected(store.error());
  const auto number = import_job(*store, a.out);
  if (!number) return tl::unexpected(number.error());
  say << *number << " taken in\n";
  return ExitCode::pass;
}

}  // namespace plumbstack::job
