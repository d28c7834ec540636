#include "second_reader.hpp"

#include <omp.h>
#include <tesseract/baseapi.h>

#include <algorithm>
#include <cctype>
#include <vector>

namespace plumbstack {
namespace {

constexpr int kResolution = 300;  // dpi; the engine guesses, wrongly and aloud, where none is set
constexpr std::size_t kMost = 4;  // digits: longer ones are strokes taken for digits
constexpr int kFewestVotes = 2;   // of three scales

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

// The answer of most scales; nullopt where another one is as frequent or too few agree.
std::optional<SecondReading> agreed(const std::vector<std::string>& answers) {
  SecondReading best;
  int given = 0;
  for (const std::string& answer : answers) {
    if (answer.empty()) continue;
    ++given;
    const int votes = static_cast<int>(std::count(answers.begin(), answers.end(), answer));
    if (votes > best.votes) best = {answer, votes};
  }
  if (best.votes < kFewestVotes || best.votes < given) return std::nullopt;
  return best;
}

}  // namespace

struct TesseractReader::Engine {
  tesseract::TessBaseAPI api;
};

TesseractReader::TesseractReader(TesseractOptions options) : options_(std::move(options)) {}
TesseractReader::~TesseractReader() = default;

bool TesseractReader::started() {
  if (engine_) return true;
  if (!note_.empty()) return false;
  auto engine = std::make_unique<Engine>();
  engine->api.SetVariable("debug_file", "/dev/null");  // before Init: it says aloud what it misses
  const std::vector<std::string> names{"load_system_dawg", "load_freq_dawg"};
  const std::vector<std::string> values{"0", "0"};
  const std::string folder = options_.data_folder.string();
  if (engine->api.Init(folder.empty() ? nullptr : folder.c_str(), "eng", tesseract::OEM_LSTM_ONLY,
                       nullptr, 0, &names, &values, false) != 0) {
    note_ =
        "no second opinion on numbers: Tesseract's eng.traineddata is missing or damaged; "
        "install tesseract-ocr-eng";
    return false;
  }
  // Without the space the engine doubles or drops digits around a gap.
  engine->api.SetVariable("tessedit_char_whitelist", "0123456789 ");
  engine->api.SetPageSegMode(tesseract::PSM_SINGLE_LINE);
  engine_ = std::move(engine);
  return true;
}

std::optional<SecondReading> TesseractReader::read(const cv::Mat& grey, double text_px) {
  std::vector<std::string> answers;
  const OneThread quiet;
  for (const double to_px : options_.text_px) {
    const cv::Mat ink = ink_of(grey, text_px, to_px);
    if (ink.empty()) continue;
    if (!started()) return std::nullopt;
    engine_->api.SetImage(ink.data, ink.cols, ink.rows, 1, static_cast<int>(ink.step));
    engine_->api.SetSourceResolution(kResolution);
    const std::unique_ptr<char[]> text(engine_->api.GetUTF8Text());
    const std::string digits = digits_of(text.get());
    answers.push_back(digits.size() <= kMost ? digits : "");
  }
  if (engine_) engine_->api.Clear();
  return agreed(answers);
}

}  // namespace plumbstack
