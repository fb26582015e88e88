#include "predict/field_solution.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <set>

#include "base/fault.h"
#include "field/images/image_field.h"

namespace cabinfield {
namespace {

/// Level difference of the joined fields above which a note is written, dB.
constexpr double reported_mismatch_db = 6;
constexpr double poor_coherence = 0.5;

/// Above this frequency modes are too dense for a single one to matter.
constexpr double reported_modes_hz = 250;

/// Every seat must hear every driver through air, a filling, a partition or an opening.
void check_reached(const Scene& scene, int index, const FieldQuestion& question, const WaveField& field) {
  std::vector<Fault> faults;
  std::vector<SourceLocation> locations;  // in the order of question_of
  for (const MountedDriver& driver : scene.drivers) locations.push_back(driver.location);
  for (const MountedDriver& driver : scene.drivers)
    if (driver.rear) locations.push_back(driver.location);
  for (std::size_t d = 0; d < question.sources.size(); ++d) {
    const Source& source = question.sources[d];
    std::vector<std::string> cut_off;
    for (std::size_t s = 0; s < scene.seats.size(); ++s)
      if (!field.reaches(source, question.ears[2 * s]) && !field.reaches(source, question.ears[2 * s + 1]))
        cut_off.push_back(scene.seats[s].name);
    if (!cut_off.empty())
      faults.push_back({locations[d], fmt::format("{}{}: no sound path to {}: solid blocks, or partitions "
                                                  "that transmit nothing, separate them. Give "
                                                  "the partition a panel or openings under cabin.partitions; "
                                                  "describe a block that transmits sound "
                                                  "there too, or give it a filling",
                                                  source.name, of_state(scene.states[index], index),
                                                  fmt::join(cut_off, ", "))});
  }
  if (!faults.empty()) throw InputError(std::move(faults));
}

void report_joint(const Scene& scene, const FieldAnswer& answer, FieldSolution& solution) {
  solution.join_coherence = answer.join_coherence;
  solution.join_mismatch_db = answer.join_mismatch_db;
  const std::size_t drivers = scene.drivers.size(), ears = 2 * scene.seats.size();
  double worst = 0, least = 1, sum = 0;
  int joined = 0;
  std::vector<std::string> low;
  for (std::size_t d = 0; d < drivers; ++d) {
    double of_driver = 0;
    int heard = 0;
    for (std::size_t n = 0; n < ears; ++n) {
      const double coherence = answer.join_coherence(d, n);
      if (coherence == 0) continue;  // one of the two is silent, which report_silence reports
      of_driver += coherence;
      ++heard;
      least = std::min(least, coherence);
      worst = std::max(worst, std::abs(answer.join_mismatch_db(d, n)));
    }
    sum += of_driver;
    joined += heard;
    if (heard > 0 && of_driver / heard < poor_coherence) low.push_back(scene.drivers[d].name);
  }
  if (joined == 0) return;
  const double top_hz = scene.computation.wave_top_hz;
  if (least < 0.9)
    solution.notes.push_back(fmt::format(
        "from {:.0f} to {:.0f} Hz wave field and image method have a coherence of {:.2f} or more, mean "
        "{:.2f} (1: full agreement); levels and phases are blended there",
        0.5 * top_hz, top_hz, least, sum / joined));
  if (!low.empty())
    solution.warnings.push_back(fmt::format(
        "from {:.0f} to {:.0f} Hz wave field and image method differ in phase ({}): the sum of channels is "
        "uncertain there",
        0.5 * top_hz, top_hz, fmt::join(low, ", ")));
  if (worst > reported_mismatch_db)
    solution.notes.push_back(
        fmt::format("from {:.0f} to {:.0f} Hz wave field and image method differ in level by up to {:.0f} dB",
                    0.5 * top_hz, top_hz, worst));
}

/// Warns of drivers that a seat does not hear from the given frequency up.
void report_silence(const Scene& scene, const Table<Complex, 3>& transfer, std::size_t from,
                    const std::string& why, FieldSolution& solution) {
  const std::size_t frequencies = transfer.shape()[2];
  for (std::size_t d = 0; d < scene.drivers.size(); ++d)
    for (std::size_t s = 0; s < scene.seats.size(); ++s) {
      auto silent = [&](std::size_t n) {
        const Complex* row = transfer.row(d, n);
        return std::all_of(row + from, row + frequencies,
                           [](const Complex& value) { return value == Complex(0); });
      };
      if (silent(2 * s) && silent(2 * s + 1))
        solution.warnings.push_back(
            fmt::format(fmt::runtime(why), scene.drivers[d].name, scene.seats[s].name));
    }
}

}  // namespace

FieldSolution solve_fields(const Scene& scene, const PredictionOptions& options, const Progress& progress) {
  FieldSolution solution;
  solution.transfer_pa_s_m3.resize(std::max<std::size_t>(1, scene.states.size()));
  solution.wave_fields.resize(solution.transfer_pa_s_m3.size());
  if (!scene.cabin) {
    solution.kind = FieldKind::free;
    const FieldQuestion question = question_of(scene, 0);
    solution.transfer_pa_s_m3[0] =
        of_drivers(scene, question, FreeField(scene.air).solve(question, progress).transfer_pa_s_m3);
    return solution;
  }
  // Solve the first state and every state that a preset uses; they share solved cabins of equal geometry.
  std::set<int> states{0};
  for (const Preset& preset : scene.presets) states.insert(preset.state);
  const FieldKind kind = scene.computation.field;
  solution.kind = kind;
  SolvedCabins solved;
  double done = 0;
  const double share = 1 / static_cast<double>(states.size());
  for (int index : states) {
    const CabinState& state = scene.states[index];
    const FieldQuestion question = question_of(scene, index);
    const double solving = kind == FieldKind::images ? 0 : kind == FieldKind::wave ? 1 : 0.6;
    auto part = [&](double from, double to) -> Progress {
      if (!progress) return {};
      return [&, from, to](double of_part) { progress(done + share * (from + (to - from) * of_part)); };
    };
    // Step 1: the field of the state, and the key figures of its reduced-order model.
    const StateField field(scene, index, options.cabin_cache_folder, solved, part(0, solving));
    solution.notes.insert(solution.notes.end(), field.notes().begin(), field.notes().end());
    solution.warnings.insert(solution.warnings.end(), field.warnings().begin(), field.warnings().end());
    if (const auto waves = field.waves()) {
      check_reached(scene, index, question, *waves);
      const ReducedOrderModel& reduced = waves->solved().reduced;
      solution.waves.push_back(
          {state.name, waves->solved().space->degrees_of_freedom(), static_cast<int>(reduced.basis.cols()),
           reduced.estimate.error, reduced.estimate.frequency_hz,
           index == 0 ? waves->modes(std::min(reported_modes_hz, scene.computation.wave_top_hz))
                      : std::vector<CabinMode>()});
      for (const std::string& note : waves->solved().space->mesh().notes)
        solution.notes.push_back(note + of_state(state, index));
      solution.wave_fields[index] = waves;
    }
    // Step 2: transfer functions, with warnings of silent pairs and of disagreement where fields are joined.
    const FieldAnswer answer = field.solve(question, part(solving, 1));
    if (kind == FieldKind::images) {
      report_silence(scene, answer.transfer_pa_s_m3, 0,
                     "{} at {}: no direct, diffracted or reflected path; the image method cannot predict "
                     "bass transmitted "
                     "through seats and panels",
                     solution);
    } else if (kind == FieldKind::joined && index == 0) {
      report_joint(scene, answer, solution);
      if (question.frequency_hz.back() > scene.computation.wave_top_hz)
        report_silence(
            scene, answer.transfer_pa_s_m3, question.frequency_hz.size() - 1,
            fmt::format(
                "{{}} at {{}}: no direct, diffracted or reflected path above {:.0f} Hz; only the wave field "
                "below contributes",
                scene.computation.wave_top_hz),
            solution);
    }
    for (const std::string& warning : answer.warnings)
      solution.warnings.push_back(warning + of_state(state, index));
    solution.transfer_pa_s_m3[index] = of_drivers(scene, question, answer.transfer_pa_s_m3);
    done += share;
  }
  return solution;
}

}  // namespace cabinfield
