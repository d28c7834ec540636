// Result<T>: a value, or one Error that says what failed and where. Nothing escapes the library as
// an exception; programmer mistakes assert.
#pragma once

#include <string>
#include <tl/expected.hpp>

#include "plumbstack/base/error_codes.hpp"

namespace plumbstack {

struct Error {
  ErrorCode code = ErrorCode::internal;
  std::string message;  // what was wrong and what to do about it, one line, no full stop needed
  std::string where;    // file name or key path; empty where neither applies
};

template <typename T>
using Result = tl::expected<T, Error>;

inline tl::unexpected<Error> fail(ErrorCode code, std::string message, std::string where = {}) {
  return tl::unexpected<Error>(Error{code, std::move(message), std::move(where)});
}

}  // namespace plumbstack
