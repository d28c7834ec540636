#include <malloc.h>
#include <omp.h>

#include <opencv2/core/utils/logger.hpp>

#include "program.hpp"

int main(int argc, char** argv) {
  // Tesseract's own threads get in each other's way on small crops: measured 68 crops a second with
  // them, 578 without. Setting OMP_THREAD_LIMIT from here would come too late.
  omp_set_max_active_levels(0);
  // Pictures and the networks' buffers come and go many times over. Kept by the heap instead of
  // being mapped afresh each time, their pages need not be cleared again: a quarter of the time
  // went there.
  mallopt(M_MMAP_THRESHOLD, 32 << 20);
  mallopt(M_TRIM_THRESHOLD, 64 << 20);
  // A failure is told once, in one line of ours.
  cv::utils::logging::setLogLevel(cv::utils::logging::LOG_LEVEL_SILENT);
  return plumbstack::run_program(argc, argv);
}
