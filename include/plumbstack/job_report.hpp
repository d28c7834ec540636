// The record of a job -> a report for those who were not there: the customer, an insurer, the next
// workshop. It says nothing that the record does not hold, and nothing but a closed job that holds
// to the end looks like a pass.
#pragma once

#include <functional>

#include "plumbstack/document.hpp"
#include "plumbstack/job_store.hpp"

namespace plumbstack {

struct ReportSource {
  Inspection record;
  /// Bytes of a file that the record names. A file that can't be had is said to be missing.
  std::function<Result<std::string>(const KeptFile&)> bytes_of;
};

/// The same record gives the same document, and the same bytes by document_pdf and document_html.
Document job_report(const ReportSource& source);

}  // namespace plumbstack
