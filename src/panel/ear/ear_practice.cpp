#include "panel/ear/ear_practice.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <random>
#include <utility>

#include "base/error.h"
#include "base/printable.h"
#include "io/book/book_reader.h"
#include "io/paths.h"
#include "io/whole_sound.h"
#include "panel/window/now.h"

namespace brink::panel {
namespace {

constexpr const char* kExerciseFolder = "exercises";

/// The first free name: no file is ever replaced.
std::string free_path(const std::filesystem::path& folder) {
  std::error_code fault;
  for (int number = 1;; ++number) {
    const auto path = folder / fmt::format("exercise-{:03}.wav", number);
    if (!std::filesystem::exists(path, fault)) {
      return path.string();
    }
  }
}

}  // namespace

EarPractice::EarPractice(std::string book_path, io::Book& book, std::function<void()> on_news)
    : book_path_(std::move(book_path)), book_(book), on_news_(std::move(on_news)) {}

void EarPractice::render(std::function<Rendered()> work) {
  answers_.clear();
  result_.reset();
  file_words_.clear();
  file_path_.clear();
  fault_.clear();
  rendering_.start(
      [work = std::move(work), old = sound_.unload()]() mutable {
        Rendered rendered = work();
        old.reset();  // the device of the exercise before: closing it may take a while
        return rendered;
      },
      on_news_);
}

void EarPractice::begin(const PracticeChoice& choice, const cuts::Target& target) {
  choice_ = choice;
  target_ = target;
  is_begin_due_ = true;  // as soon as nothing is rendered any more
}

void EarPractice::begin_due() {
  is_begin_due_ = false;
  session_.reset();
  ear::EarConfig config;
  config.trainee = choice_.trainee;
  std::random_device device;
  config.seed = device();
  const auto kind = static_cast<std::size_t>(choice_.kind);
  config.kinds.assign(ear::kExerciseKinds.begin(), ear::kExerciseKinds.end());
  if (kind < ear::kExerciseKinds.size()) {
    config.kinds = {ear::kExerciseKinds.at(kind)};
  }
  config.by_note = choice_.by_note;
  config.target = target_;
  render([this, config = std::move(config), path = book_path_] {
    std::vector<show::GuessRecord> past;
    try {
      past = io::BookReader(path).guesses(config.trainee);
    } catch (const base::Error&) {
      past.clear();  // a book that cannot be read is told elsewhere; one can practise without
    }
    return std::make_unique<ear::EarSession>(
        config, past, [this](const show::GuessRecord& guess) { serial_ = book_.keep(guess); });
  });
}

void EarPractice::update() {
  try {
    if (auto rendered = rendering_.take()) {
      session_ = std::move(*rendered);
      sound_.load(session_->exercise().sample_rate_hz, session_->exercise().samples);
    }
  } catch (const base::Error& error) {
    fault_ = error.what();
  }
  try {
    if (auto path = writing_.take()) {
      file_path_ = std::move(*path);
      file_words_ = fmt::format("Written to {}", base::printable(file_path_));
      if (session_) {
        session_->start(now_s());
      }
    }
  } catch (const base::Error& error) {
    file_words_ = error.what();
  }
  if (is_begin_due_ && !rendering_.is_busy() && !writing_.is_busy()) {
    begin_due();
  }
  if (session_ && sound_.was_heard()) {
    session_->start(now_s());
  }
}

bool EarPractice::is_open() const noexcept {
  return session_ && session_->phase() == ear::EarSession::Phase::kSounding;
}

void EarPractice::lock() {
  if (!is_open()) {
    return;
  }
  auto result = session_->lock(now_s(), std::chrono::system_clock::now());
  if (result) {
    answers_.push_back({result->record.guessed_hz, result->truth.frequency_hz});
    result_ = std::move(result);
  }
}

void EarPractice::give_up() {
  if (!session_) {
    return;
  }
  session_->give_up();
  for (const ear::EarTruth& truth : session_->exercise().truths) {
    const bool is_known =
        std::any_of(answers_.begin(), answers_.end(), [&](const RulerAnswer& answer) {
          return answer.true_hz == truth.frequency_hz;
        });
    if (!is_known) {
      answers_.push_back({truth.frequency_hz, truth.frequency_hz});
    }
  }
}

void EarPractice::next() {
  if (!session_ || rendering_.is_busy() || writing_.is_busy()) {
    return;
  }
  render([session = std::make_shared<Rendered>(std::move(session_))] {
    (*session)->next();
    return std::move(*session);
  });
}

void EarPractice::write_file() {
  if (!session_ || writing_.is_busy() || !file_path_.empty()) {
    return;
  }
  const auto folder = io::to_path(book_path_).parent_path() / kExerciseFolder;
  const ear::Exercise& exercise = session_->exercise();
  writing_.start(
      [folder, rate_hz = exercise.sample_rate_hz, samples = exercise.samples] {
        std::error_code fault;
        std::filesystem::create_directories(folder, fault);
        std::string path = free_path(folder);
        io::WholeFile file(path);
        io::write_sound(file, rate_hz, samples);
        file.commit();
        return path;
      },
      on_news_);
}

}  // namespace brink::panel
