#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "summary.h"
#include "terminal.h"

namespace cabinfield::command {
namespace {

/// Other tapes that show less than this part of an error may miss it.
constexpr double hardly_checked = 0.25;

std::string mm(double metres) { return fmt::format("{:.0f} mm", metres * 1000); }

}  // namespace

std::string fit_summary(const FittedScene& fitted, const std::string& output) {
  TextTable moves({"moved", "from", "to", ""}, " rrr");
  for (const PlaneMove& move : fitted.moves)
    if (std::abs(move.to_m - move.from_m) >= 0.0005)
      moves.add({move.words, mm(move.from_m), mm(move.to_m),
                 fmt::format("{:+.0f} mm", 1000 * (move.to_m - move.from_m))});
  std::string text = moves.empty() ? "Nothing had to move.\n" : "Body fitted to its tapes\n" + moves.text();

  TextTable tapes({"from", "to", "taped", "was", "is", "remains", ""}, "  rrrr ");
  double sum = 0;
  int sound = 0;
  for (const SceneTapeFit& tape : fitted.tapes) {
    const double off = tape.fitted_m - tape.taped_m;
    const char* const words = tape.wrong                      ? "LOOKS WRONG, left out"
                              : tape.checked < hardly_checked ? "hardly checked by the others"
                                                              : "";
    tapes.add({tape.from, tape.to, mm(tape.taped_m), mm(tape.drawn_m), mm(tape.fitted_m),
               fmt::format("{:+.0f} mm", 1000 * off), words});
    if (tape.wrong) continue;
    sum += off * off;
    ++sound;
  }
  text += "\nTapes\n" + tapes.text();
  if (sound > 0)
    text += fmt::format(
        "  Remaining error: {:.0f} mm RMS over {} tape{}, with {} lengths of the body free to change\n",
        1000 * std::sqrt(sum / sound), sound, sound == 1 ? "" : "s", fitted.degrees_of_freedom);
  for (const SceneTapeFit& tape : fitted.tapes)
    if (tape.wrong)
      text += fmt::format("\n{} to {}: taped {}, the other tapes imply about {}, {} {}. Tape it again.\n",
                          tape.from, tape.to, mm(tape.taped_m), mm(tape.fitted_m),
                          mm(std::abs(tape.likely_error_m)), tape.likely_error_m > 0 ? "less" : "more");
  if (!fitted.unsound.empty())
    text += "\nNothing is written: `check` would refuse the fitted scene.\n";
  else if (output.empty())
    text += "\nNothing is written: give -o FITTED.yaml to write the fitted scene.\n";
  return text;
}

}  // namespace cabinfield::command
