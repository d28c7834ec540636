#include "stop_signal.hpp"

#include <signal.h>

namespace plumbstack {
namespace {

std::atomic<bool> stop_asked{false};

void ask_to_stop(int) {
  stop_asked = true;
}

}  // namespace

const std::atomic<bool>& stop_by_signal() {
  struct sigaction action {};
  action.sa_handler = ask_to_stop;
  action.sa_flags = static_cast<int>(SA_RESETHAND);
  ::sigaction(SIGINT, &action, nullptr);
  ::sigaction(SIGTERM, &action, nullptr);
  return stop_asked;
}

}  // namespace plumbstack
