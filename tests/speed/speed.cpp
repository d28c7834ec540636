// How long each stage takes on a bundled sample at 3, 6 and 12 megapixels and, in the same run, two
// things to hold it against: decoding the JPEG alone, and Tesseract on the whole photo.
#include <benchmark/benchmark.h>
#include <omp.h>
#include <tesseract/baseapi.h>

#include <memory>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>

#include "../../src/2_stack/parts.hpp"
#include "plumbstack/record.hpp"
#include "plumbstack/strips.hpp"
#include "speed_input.hpp"

namespace plumbstack::speed {
namespace {

int megapixels(const benchmark::State& state) {
  return static_cast<int>(state.range(0));
}

void decode(benchmark::State& state) {
  const Input& in = input_at(megapixels(state));
  for (auto _ : state) benchmark::DoNotOptimize(decode_photo(in.jpeg, "sample.jpg"));
}

// The floor: the pixels alone, into fresh memory, not turned.
void jpeg_alone(benchmark::State& state) {
  const Input& in = input_at(megapixels(state));
  for (auto _ : state)
    benchmark::DoNotOptimize(
        cv::imdecode(in.jpeg, cv::IMREAD_COLOR | cv::IMREAD_IGNORE_ORIENTATION));
}

void finder(benchmark::State& state) {
  const Input& in = input_at(megapixels(state));
  for (auto _ : state) {
    double scale = 1;
    cv::Point2d shift;
    benchmark::DoNotOptimize(
        run_planes(bench().nets.finder, letterboxed(in.photo.pixels, scale, shift)));
  }
}

// The finder, the face network on the rectified side, and the fit.
void stack(benchmark::State& state) {
  const Input& in = input_at(megapixels(state));
  for (auto _ : state)
    benchmark::DoNotOptimize(find_stack(in.photo, bench().pack, *bench().side, bench().nets));
}

void strips(benchmark::State& state) {
  const Input& in = input_at(megapixels(state));
  for (auto _ : state) benchmark::DoNotOptimize(cut_strips(in.photo, in.found.frame));
}

void marks(benchmark::State& state) {
  const Input& in = input_at(megapixels(state));
  for (auto _ : state)
    benchmark::DoNotOptimize(
        read_marks(in.photo, in.found, bench().pack, *bench().side, bench().nets));
}

void judgement(benchmark::State& state) {
  const Input& in = input_at(megapixels(state));
  for (auto _ : state) benchmark::DoNotOptimize(judge(bench().pack, {in.evidence}));
}

void picture(benchmark::State& state) {
  const Input& in = input_at(megapixels(state));
  for (auto _ : state) {
    std::vector<unsigned char> bytes;
    cv::imencode(".jpg", annotated_photo(bench().pack, in.check, 0), bytes,
                 {cv::IMWRITE_JPEG_QUALITY, 88});
    benchmark::DoNotOptimize(bytes);
  }
}

void report(benchmark::State& state) {
  const Input& in = input_at(megapixels(state));
  cv::Mat small;
  cv::resize(annotated_photo(bench().pack, in.check, 0), small, {1600, 1200});
  for (auto _ : state) benchmark::DoNotOptimize(report_html(bench().pack, in.check, {small}));
}

// What a general reader takes for the photo as it is.
void tesseract_whole_photo(benchmark::State& state) {
  const Input& in = input_at(megapixels(state));
  cv::Mat rgb;
  cv::cvtColor(in.photo.pixels, rgb, cv::COLOR_BGR2RGB);
  tesseract::TessBaseAPI api;
  api.SetVariable("debug_file", "/dev/null");
  if (api.Init(nullptr, "eng", tesseract::OEM_LSTM_ONLY) != 0) {
    state.SkipWithError("eng.traineddata is missing; install tesseract-ocr-eng");
    return;
  }
  api.SetPageSegMode(tesseract::PSM_SPARSE_TEXT);
  for (auto _ : state) {
    api.SetImage(rgb.data, rgb.cols, rgb.rows, 3, static_cast<int>(rgb.step));
    api.SetSourceResolution(300);
    const std::unique_ptr<char[]> text(api.GetUTF8Text());
    benchmark::DoNotOptimize(text.get());
  }
}

void sizes(benchmark::internal::Benchmark* b) {
  b->ArgName("MP")
      ->Arg(3)
      ->Arg(6)
      ->Arg(12)
      ->Unit(benchmark::kMillisecond)
      ->UseRealTime()
      ->MeasureProcessCPUTime();  // of all threads: the fairer figure on a busy machine
}

BENCHMARK(jpeg_alone)->Apply(sizes);
BENCHMARK(decode)->Apply(sizes);
BENCHMARK(finder)->Apply(sizes);
BENCHMARK(stack)->Apply(sizes);
BENCHMARK(strips)->Apply(sizes);
BENCHMARK(marks)->Apply(sizes);
BENCHMARK(judgement)->Apply(sizes);
BENCHMARK(picture)->Apply(sizes);
BENCHMARK(report)->Apply(sizes);
BENCHMARK(tesseract_whole_photo)->Apply(sizes)->Iterations(1);

}  // namespace
}  // namespace plumbstack::speed

int main(int argc, char** argv) {
  omp_set_max_active_levels(0);  // as the program does
  benchmark::Initialize(&argc, argv);
  if (benchmark::ReportUnrecognizedArguments(argc, argv)) return 64;
  benchmark::RunSpecifiedBenchmarks();
  benchmark::Shutdown();
  return 0;
}
