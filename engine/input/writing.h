// YAML being written: what the reader takes back as the same values. Positions in metres, quantities with
// their unit.
#pragma once

#include <memory>
#include <string>
#include <string_view>

namespace cabinfield {

/// Calls nest as the file does: begin_mapping, then key and value in turn, end_mapping.
class Writing {
 public:
  Writing();
  ~Writing();
  Writing(const Writing&) = delete;
  Writing& operator=(const Writing&) = delete;

  void begin_mapping();
  void key(std::string_view name);
  void end_mapping();

  /// `on_one_line` for short lists such as points.
  void begin_list(bool on_one_line);
  void end_list();

  /// Text, in quotes where a reader could take it for something else.
  void text(std::string_view text);
  /// A bare number, the shortest that reads back to the same double.
  void number(double value);
  void integer(int value);
  void yes_or_no(bool value);

  /// What has been written so far, ending in a line break.
  std::string text_so_far() const;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace cabinfield
