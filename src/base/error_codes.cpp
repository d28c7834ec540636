#include "plumbstack/base/error_codes.hpp"

namespace plumbstack {

ExitCode exit_code_of(ErrorCode code) {
  switch (code) {
    case ErrorCode::photo_unreadable:
    case ErrorCode::photo_too_large:
    case ErrorCode::photo_format:
    case ErrorCode::pack_unreadable:
    case ErrorCode::pack_invalid:
    case ErrorCode::sheet_unreadable:
    case ErrorCode::sheet_invalid:
    case ErrorCode::modules_short:
    case ErrorCode::record_unreadable:
    case ErrorCode::record_invalid:
    case ErrorCode::readings_invalid:
    case ErrorCode::job_unknown:
    case ErrorCode::job_refused:
    case ErrorCode::document_invalid:
    case ErrorCode::record_damaged:
    case ErrorCode::store_unusable: return ExitCode::bad_input;
    case ErrorCode::usage:
    case ErrorCode::side_unknown:
    case ErrorCode::side_ambiguous:
    case ErrorCode::side_twice: return ExitCode::usage;
    case ErrorCode::output_unwritable: return ExitCode::output;
    case ErrorCode::model_missing:
    case ErrorCode::internal: return ExitCode::internal;
  }
  return ExitCode::internal;
}

}  // namespace plumbstack
