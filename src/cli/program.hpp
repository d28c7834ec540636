// The command line as a whole: which command, its errors, its exit status.
#pragma once

#include <string>

#include "plumbstack/base/result.hpp"

namespace plumbstack {

/// @return the exit status. Writes to stdout what was asked for, to stderr at most one line.
int run_program(int argc, char** argv);

/// "plumbstack: FILE: what is wrong", always one line, with its end.
std::string error_line(const Error& error);

}  // namespace plumbstack
