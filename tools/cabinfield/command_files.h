// The files that a command reads and writes, compared as files and not by their names.
#pragma once

#include <string>
#include <vector>

namespace cabinfield::command {

struct ReadFile {
  std::string option;  ///< "--tape"; "" for what is no option
  std::string path;
  std::string words;  ///< "the file of lengths"
};

struct WrittenFile {
  std::string option;  ///< "--output"
  std::string path;
  std::string words;        ///< "the scene"
  std::string place_words;  ///< "where the results go"
};

/// True of two names of one file (links, `./`), and of two names that would become one.
bool same_file(const std::string& one, const std::string& other);

/// Prints what is wrong: an empty name, a file to be written over one that is read or over another that is
/// written. Compares every pair. True where nothing is.
bool files_are_apart(const std::vector<ReadFile>& read, const std::vector<WrittenFile>& written);

}  // namespace cabinfield::command
