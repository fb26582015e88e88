// YAML text to a tree. Built from the library's events rather than from its own tree, so that each limit
// stops the work where it is crossed and each key keeps its place.
#include <yaml-cpp/exceptions.h>
#include <yaml-cpp/mark.h>
#include <yaml-cpp/parser.h>

#include <algorithm>
#include <new>
#include <optional>
#include <sstream>
#include <utility>

#include "input/document.h"
#include "input/document_builder.h"
#include "input/document_content.h"
#include "input/document_lines.h"

namespace cabinfield {
namespace {

// Brackets still open somewhere, whether they open a list or are part of a text: the library holds every
// token of an open bracket in memory, so a file of nothing but brackets must be turned away before. No valid
// file comes near.
constexpr int most_open_brackets = 1000;

struct TextPosition {
  int line = 1, column = 1;
};

// The first bracket that opens one too many.
std::optional<TextPosition> bracket_too_deep(const std::string& text) {
  int open = 0;
  TextPosition at;
  for (char c : text) {
    if ((c == '[' || c == '{') && ++open > most_open_brackets) return at;
    if (c == ']' || c == '}') open = std::max(0, open - 1);
    const bool continues = (static_cast<unsigned char>(c) & 0xC0) == 0x80;  // a character of several bytes
    if (c == '\n')
      at = {at.line + 1, 1};
    else if (!continues)
      ++at.column;
  }
  return std::nullopt;
}

// The column of a tab among the spaces that begin a line, or 0.
int indenting_tab(const std::string& text, int line) {
  std::size_t start = 0;
  for (int i = 1; i < line && start != std::string::npos; ++i) {
    start = text.find('\n', start);
    if (start != std::string::npos) ++start;
  }
  if (start == std::string::npos) return 0;
  const std::size_t first = text.find_first_not_of(' ', start);
  return first != std::string::npos && text[first] == '\t' ? static_cast<int>(first - start) + 1 : 0;
}

// What the library says, in words that tell what to look at; its own where they do.
std::string plain_words(const std::string& message) {
  static const std::pair<const char*, const char*> words[] = {
      {"illegal map value", "misplaced ':': check the indent, quotes and commas here and above"},
      {"illegal map key", "misplaced key: check the indent, quotes and commas here and above"},
      {"illegal block entry", "misplaced '-': check the indent here and above"},
      {"illegal flow end", "closing bracket without an opening one"},
      {"end of map not found", "all keys of a mapping must begin in the same column: check the indent"},
      {"end of sequence not found", "all items of a list must begin in the same column: check the indent"},
      {"end of map flow not found", "a '{' is not closed, or a comma is missing before this"},
      {"end of sequence flow not found", "a '[' is not closed, or a comma is missing before this"}};
  for (const auto& [said, meant] : words)
    if (message == said) return meant;
  return message;
}

// Runs the parser; faults go to `faults`, the tree is empty where the text could not be followed to its end.
Node build_tree(const std::string& text, const DocumentLines& lines, Faults& faults) {
  DocumentBuilder builder(lines, faults);
  try {
    std::istringstream stream(text);
    YAML::Parser parser(stream);
    while (parser.HandleNextDocument(builder)) {
    }
    return builder.root();
  } catch (const DocumentStop& stop) {
    faults.add(stop.location, stop.message);
  } catch (const YAML::Exception& exception) {
    if (exception.msg == std::string("illegal EOF in scalar") && !text.ends_with('\n')) {
      // With its last line ended, the open quote is found where it begins.
      Faults of_quote;
      build_tree(text + '\n', lines, of_quote);
      if (of_quote.any()) {
        faults.add(of_quote.faults().back());
        return Node();
      }
    }
    SourceLocation location = lines.location(exception.mark);
    const int tab = indenting_tab(text, location.line);
    if (tab > 0) location.column = tab;
    faults.add(location,
               "this is not YAML: " + (tab > 0 ? "the line begins with a tab, YAML takes only spaces there"
                                               : plain_words(exception.msg)));
  } catch (const std::bad_alloc&) {
    faults.add(lines.location(YAML::Mark::null_mark()), "there is not enough memory for this file");
  } catch (const std::exception& exception) {
    faults.add(lines.location(YAML::Mark::null_mark()),
               std::string("the file cannot be parsed: ") + exception.what());
  }
  return Node();
}

}  // namespace

Node parse_document(const std::string& text, const std::string& file, Faults& faults) {
  if (text.size() > largest_document_bytes) {
    faults.add({file, 0, 0},
               "the text is larger than the " + std::to_string(largest_document_bytes) + " bytes allowed");
    return Node();
  }
  const TextFlaw flaw = find_text_flaw(text);
  if (!flaw.message.empty()) {
    faults.add({file, flaw.line, flaw.column}, flaw.message);
    return Node();
  }
  if (const auto at = bracket_too_deep(text)) {
    faults.add({file, at->line, at->column},
               "lists and mappings are nested deeper than " + std::to_string(deepest_document_nesting));
    return Node();
  }
  const std::string body = text.starts_with("\xEF\xBB\xBF") ? text.substr(3) : text;
  const std::size_t faults_before = faults.faults().size();
  const Node root = build_tree(body, DocumentLines(body, file), faults);
  if (root.kind() == NodeKind::null && faults.faults().size() == faults_before)
    faults.add({file, 0, 0}, "the file is empty");
  return root;
}

}  // namespace cabinfield
