// Fixed numbers, never reused: input faults 1-99, our own bugs from 100. Exit codes are those that
// callers of the command rely on; the README's table is tested against this header.
#pragma once

namespace plumbstack {

enum class ErrorCode {
  photo_unreadable = 1,    // missing, empty, truncated, or not an image
  photo_too_large = 2,     // more pixels than the limit allows
  photo_format = 3,        // an image, but of a kind that is not read
  pack_unreadable = 10,    // missing file or not JSON
  pack_invalid = 11,       // JSON, but a key is unknown, missing or out of range
  sheet_unreadable = 12,   // missing test sheet, or not text in the form of a table
  sheet_invalid = 13,      // a table, but a column is missing or a value is odd
  modules_short = 14,      // too few modules are within the limits for the pack
  record_unreadable = 15,  // missing plan or result document, or not JSON
  record_invalid = 16,     // of another pack or a newer version, or a key is missing or odd
  readings_invalid = 17,   // meter readings: a line or column is missing, or a value is odd
  usage = 20,              // the command line asks for something that makes no sense
  side_unknown = 21,       // a side that the pack does not have
  side_ambiguous = 22,  // a side must be named, since two of the pack's sides list the same marks
  side_twice = 23,      // two photos for one side
  output_unwritable = 30,  // the output folder or a file in it
  model_missing = 40,      // a network file is not where the program looks for it
  job_unknown = 50,        // no job of this number in the store
  job_refused = 51,        // what is asked does not go in this job now, and why
  document_invalid = 52,   // a check list, export or result that is not what it should be
  record_damaged = 53,     // an entry, file or index of the record is not as it was written
  store_unusable = 54,     // can't be reached, is no store, or a newer program wrote it
  internal = 100,          // a fault of the program's own
};

enum class ExitCode {
  pass = 0,
  fix = 1,
  retake = 2,
  unread = 3,  // of an archive: some stacks could not be checked at all
  usage = 64,
  bad_input = 65,
  internal = 70,
  output = 74,
  stopped = 130,  // by a signal, as shells have it
};

/// The exit status with which the command reports an error of this code.
ExitCode exit_code_of(ErrorCode code);

}  // namespace plumbstack
