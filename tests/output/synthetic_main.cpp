// Writes the invented hatchback to the file named, for tests of what reads results files.
#include <exception>
#include <iostream>

#include "output/synthetic_hatchback.h"
#include "output/write_results.h"

int main(int count, char** arguments) {
  if (count != 2) {
    std::cerr << "usage: " << arguments[0] << " RESULTS.h5\n";
    return 2;
  }
  try {
    cabinfield::write_results(cabinfield::synthetic::hatchback(), arguments[1]);
  } catch (const std::exception& error) {
    std::cerr << error.what() << '\n';
    return 3;
  }
}
