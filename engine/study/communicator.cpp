#include "study/communicator.h"

#include <cstdlib>

#ifdef CABINFIELD_MPI
#include <mpi.h>
#endif

namespace cabinfield {

#ifdef CABINFIELD_MPI

namespace {

/// Whether a launcher of OpenMPI, PMI or PMIx started this process. Starting MPI without one takes a second
/// or two.
bool launched() {
  for (const char* name : {"OMPI_COMM_WORLD_SIZE", "PMI_SIZE", "PMIX_RANK"})
    if (std::getenv(name) != nullptr) return true;
  return false;
}

void broadcast(std::vector<double>& values, int from, int rank) {
  std::uint64_t count = values.size();
  MPI_Bcast(&count, 1, MPI_UINT64_T, from, MPI_COMM_WORLD);
  if (rank != from) values.resize(count);
  // A piece is far smaller than the limit of one message.
  MPI_Bcast(values.data(), static_cast<int>(count), MPI_DOUBLE, from, MPI_COMM_WORLD);
}

}  // namespace

Communicator::Communicator() {
  if (!launched()) return;
  int provided = 0;
  MPI_Init_thread(nullptr, nullptr, MPI_THREAD_FUNNELED, &provided);
  MPI_Comm_rank(MPI_COMM_WORLD, &rank_);
  MPI_Comm_size(MPI_COMM_WORLD, &size_);
}

Communicator::~Communicator() {
  int begun = 0, ended = 0;
  MPI_Initialized(&begun);
  MPI_Finalized(&ended);
  if (begun != 0 && ended == 0) MPI_Finalize();
}

void Communicator::share(std::uint64_t order, std::vector<double>& values) const {
  if (size_ > 1) broadcast(values, static_cast<int>(order % static_cast<std::uint64_t>(size_)), rank_);
}

void Communicator::share_first(std::vector<double>& values) const {
  if (size_ > 1) broadcast(values, 0, rank_);
}

void Communicator::abandon(int status) const {
  if (size_ > 1) MPI_Abort(MPI_COMM_WORLD, status);
  std::exit(status);
}

#else

Communicator::Communicator() = default;
Communicator::~Communicator() = default;
void Communicator::share(std::uint64_t, std::vector<double>&) const {}
void Communicator::share_first(std::vector<double>&) const {}
void Communicator::abandon(int status) const { std::exit(status); }

#endif

}  // namespace cabinfield
