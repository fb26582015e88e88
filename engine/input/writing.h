// YAML being written: what the reader takes back as the same values. Quantities with their unit.
#pragma once

#include <memory>
#include <string>
#include <string_view>

namespace cabinfield {

/// Calls nest as the file does: begin_mapping, then key and value in turn, end_mapping.
class Writing {
 public:
  /// Bare positions are written in this unit.
  explicit Writing(double length_unit_m = 1);
  ~Writing();
  Writing(const Writing&) = delete;
  Writing& operator=(const Writing&) = delete;

  /// `on_one_line` for short mappings of short values.
  void begin_mapping(bool on_one_line = false);
  void key(std::string_view name);
  /// One that may have stood without quotes: words such as y do again.
  void key_as_it_stood(std::string_view name);
  void end_mapping();

  /// `on_one_line` for short lists such as points.
  void begin_list(bool on_one_line);
  void end_list();

  /// Text, in quotes where a reader could take it for something else.
  void text(std::string_view text);
  /// A bare number, the shortest that reads back to the same double.
  void number(double value);
  /// A position in metres, as a bare number in the file's unit that reads back to the same metres.
  void coordinate(double metres);
  void integer(int value);
  void yes_or_no(bool value);
  /// Text that stood without quotes in a document, as it stood: a number stays one.
  void unquoted(std::string_view text);
  /// Text that a reader must not take for a number.
  void text_in_quotes(std::string_view text);
  void nothing();

  /// What has been written so far, ending in a line break.
  std::string text_so_far() const;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace cabinfield
