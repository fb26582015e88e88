# Sourced by demo, test and bench: installs the Debian packages that are missing, as root or with sudo, and shows progress.

# progress_line WORDS: the line that says how far it is. On a terminal it replaces the last one; elsewhere a line is printed when its
# first number is ten higher than in the line before, so that a log stays short.
progress_line() {
  if [ -t 1 ]; then
    printf '\r\033[K%.*s' "$(( $(tput cols 2>/dev/null || echo 80) - 1 ))" "$*"
  elif [[ "$*" =~ ([0-9]+)\ % ]] && [ $(( BASH_REMATCH[1] / 10 )) -ne "${last_progress:--1}" ]; then
    last_progress=$(( BASH_REMATCH[1] / 10 ))
    echo "$*"
  fi
}
progress_done() {
  unset last_progress
  if [ -t 1 ]; then printf '\r\033[K'; fi
  echo "$*"
}

# missing_packages NAME...: those that are not installed, one a line.
missing_packages() {
  local name
  for name in "$@"; do
    dpkg-query -W -f='${Status}' "$name" 2>/dev/null | grep -q 'install ok installed' || echo "$name"
  done
}

# need_packages NAME...: returns at once where all are installed.
need_packages() {
  local missing as_root=() log started=$SECONDS
  mapfile -t missing < <(missing_packages "$@")
  [ ${#missing[@]} -eq 0 ] && return 0
  echo "Installing ${#missing[@]} Debian packages and what they need: ${missing[*]}"
  if [ "$(id -u)" -ne 0 ]; then
    command -v sudo >/dev/null || { echo "These packages are missing; install them as root or with sudo: ${missing[*]}" >&2; return 3; }
    sudo -v || return 3
    as_root=(sudo)
  fi
  log=$(mktemp)
  progress_line "0 % (list of packages)"
  # apt reports to the given descriptor: KIND:NAME:PERCENT:WORDS, first downloads (dlstatus), then packages (pmstatus).
  if ! { "${as_root[@]}" apt-get update -qq && \
         "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends -o APT::Status-Fd=1 "${missing[@]}"; } 2>"$log" |
       while IFS=: read -r kind name percent words; do
         case $kind in
           dlstatus) progress_line "$(( ${percent%%.*} / 3 )) % ($words)" ;;
           pmstatus) progress_line "$(( 33 + ${percent%%.*} * 67 / 100 )) % ($words)" ;;
           *) echo "$kind${name:+:$name}${percent:+:$percent}${words:+:$words}" >>"$log" ;;
         esac
       done; then
    progress_done "apt-get could not install: ${missing[*]}"
    tail -n 20 "$log" >&2
    rm -f "$log"
    return 3
  fi
  rm -f "$log"
  progress_done "Installed in $(( SECONDS - started )) s."
}

# build_with_progress FOLDER TARGET...: compiles and shows how far it is; on a failure, what the compiler said.
build_with_progress() {
  local folder=$1 log status=0 started=$SECONDS line
  shift
  log=$(mktemp)
  NINJA_STATUS='[%f/%t] ' cmake --build "$folder" --target "$@" -j "$(build_jobs)" 2>&1 | tee "$log" |
    while IFS= read -r line; do
      [[ "$line" =~ ^\[([0-9]+)/([0-9]+)\]\ (.*) ]] || continue
      progress_line "$(( 100 * BASH_REMATCH[1] / BASH_REMATCH[2] )) % compiled, $(( SECONDS - started )) s: ${BASH_REMATCH[3]##*/}"
    done || status=$?
  if [ $status -ne 0 ]; then
    progress_done "The build failed:"
    grep -v '^\[' "$log" | head -n 60 >&2
    rm -f "$log"
    return 3
  fi
  rm -f "$log"
  progress_done "Built in $(( SECONDS - started )) s."
}

build_packages=(g++ cmake ninja-build libeigen3-dev libhdf5-dev libyaml-cpp-dev nlohmann-json3-dev libcli11-dev libfmt-dev libudunits2-dev
                libcgal-dev libboost-dev libgmp-dev libmpfr-dev libsndfile1-dev libfftw3-dev
                libopenblas-dev liblapacke-dev libsuitesparse-dev libmetis-dev libmumps-seq-dev libspectra-dev libxxhash-dev librandom123-dev libgmsh-dev zlib1g-dev)
plot_packages=(python3 python3-numpy python3-h5py python3-matplotlib)
# For studies on several processes.
mpi_packages=(libopenmpi-dev openmpi-bin)
test_packages=(libmysofa-dev libgtest-dev libgmock-dev libbenchmark-dev python3-xarray python3-netcdf4 python3-h5netcdf netcdf-bin hdf5-tools
               python3-scipy python3-meshio python3-jsonschema python3-getfem++ clang libomp-dev clang-format)
# For the page of `cabinfield report` and its tests. Any installed node of version 18 or newer will do: Debian's
# npm conflicts with a node from elsewhere.
page_packages=(chromium)
command -v node >/dev/null || page_packages+=(nodejs)
command -v npm >/dev/null || page_packages+=(npm)

# One compile job per core, fewer if memory is short: the largest file takes about 1.5 GB.
build_jobs() {
  local cores memory_gb
  cores=$(nproc)
  memory_gb=$(awk '/MemAvailable/ {print int($2 / 1048576)}' /proc/meminfo)
  local jobs=$(( memory_gb / 2 ))
  [ "$jobs" -lt 1 ] && jobs=1
  [ "$jobs" -gt "$cores" ] && jobs=$cores
  echo "$jobs"
}
