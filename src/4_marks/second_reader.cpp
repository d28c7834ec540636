#include "second_reader.hpp"

#include <omp.h>
#include <tesseract/baseapi.h>

#include <cctype>
#include <vector>

namespace plumbstack {
namespace {

constexpr int kResolution = 300;  // dpi; the engine guesses, wrongly and aloud, where none is set
constexpr std::size_t kMost = 4;  // digits: longer ones are strokes taken for digits

// Its own threads get in each other's way on small crops (68 against 578 crops a second). The limit
// counts for the calling thread and is put back, since others use OpenMP too.
class OneThread {
 public:
  OneThread() { omp_set_max_active_levels(0); }
  OneThread(const OneThread&) = delete;
  OneThread& operator=(const OneThread&) = delete;
  ~OneThread() { omp_set_max_active_levels(before_); }

 private:
  int before_ = omp_get_max_active_levels();
};

std::string digits_of(const char* utf8) {
  std::string digits;
  for (const char* c = utf8; c && *c; ++c)
    if (std::isdigit(static_cast<unsigned char>(*c))) digits += *c;
  return digits;
}

}  // namespace

struct TesseractReader::Engine {
  tesseract::TessBaseAPI api;
};

std::unique_ptr<TesseractReader::Engine> TesseractReader::start(const std::string& folder) {
  auto engine = std::make_unique<Engine>();
  engine->api.SetVariable("debug_file", "/dev/null");  // before Init: it says aloud what it misses
  const std::vector<std::string> names{"load_system_dawg", "load_freq_dawg"};
  const std::vector<std::string> values{"0", "0"};
  if (engine->api.Init(folder.empty() ? nullptr : folder.c_str(), "eng", tesseract::OEM_LSTM_ONLY,
                       nullptr, 0, &names, &values, false) != 0)
    return nullptr;
  // Without the space the engine doubles or drops digits around a gap.
  engine->api.SetVariable("tessedit_char_whitelist", "0123456789 ");
  engine->api.SetPageSegMode(tesseract::PSM_SINGLE_LINE);
  return engine;
}

TesseractReader::TesseractReader(TesseractOptions options)
    : options_(std::move(options)),
      starting_(std::async(std::launch::async, start, options_.data_folder.string())) {}
TesseractReader::~TesseractReader() = default;

bool TesseractReader::started() {
  if (starting_.valid() && !(engine_ = starting_.get()))
    note_ =
        "no second opinion on numbers: Tesseract's eng.traineddata is missing or damaged; "
        "install tesseract-ocr-eng";
  return engine_ != nullptr;
}

std::string TesseractReader::digits_at(const cv::Mat& grey, double text_px, double to_px,
                                       Tone tone) {
  const cv::Mat ink = ink_of(grey, text_px, to_px, tone);
  if (ink.empty()) return {};
  engine_->api.SetImage(ink.data, ink.cols, ink.rows, 1, static_cast<int>(ink.step));
  engine_->api.SetSourceResolution(kResolution);
  const std::unique_ptr<char[]> text(engine_->api.GetUTF8Text());
  const std::string digits = digits_of(text.get());
  return digits.size() <= kMost ? digits : "";
}

// Every scale that reads anything must read the same, and the first one must: where it does not,
// the others are not worth their time.
std::optional<SecondReading> TesseractReader::read_tone(const cv::Mat& grey, double text_px,
                                                        Tone tone) {
  SecondReading reading;
  for (const double to_px : options_.text_px) {
    const std::string digits = digits_at(grey, text_px, to_px, tone);
    if (reading.votes == 0) {
      if (digits.empty()) return std::nullopt;
      reading.text = digits;
    }
    if (digits == reading.text)
      ++reading.votes;
    else if (!digits.empty())
      return std::nullopt;
  }
  if (reading.votes < 2) return std::nullopt;
  return reading;
}

std::optional<SecondReading> TesseractReader::read(const cv::Mat& grey, double text_px) {
  const OneThread quiet;
  if (!started()) return std::nullopt;  // even where there is no ink: silence then means nothing
  const auto dark = read_tone(grey, text_px, Tone::dark),
             light = read_tone(grey, text_px, Tone::light);
  engine_->api.Clear();
  if (!dark || !light) return dark ? dark : light;
  // What is between the strokes can be read, too; it seldom holds at as many scales.
  if (dark->text != light->text && dark->votes == light->votes) return std::nullopt;
  return dark->votes >= light->votes ? dark : light;
}

}  // namespace plumbstack
