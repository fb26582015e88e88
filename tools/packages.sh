# Sourced by demo and test: installs the Debian packages that are missing, as root or with sudo.
# need_packages NAME...: returns at once if all are installed.
need_packages() {
  local missing=() name
  for name in "$@"; do
    dpkg-query -W -f='${Status}' "$name" 2>/dev/null | grep -q 'install ok installed' || missing+=("$name")
  done
  [ ${#missing[@]} -eq 0 ] && return 0
  echo "Installing ${#missing[@]} Debian packages: ${missing[*]}"
  local as_root=()
  if [ "$(id -u)" -ne 0 ]; then
    command -v sudo >/dev/null || { echo "These packages are missing; install them as root or with sudo: ${missing[*]}" >&2; return 3; }
    as_root=(sudo)
  fi
  local log
  log=$(mktemp)
  if ! { "${as_root[@]}" apt-get update -qq && \
         DEBIAN_FRONTEND=noninteractive "${as_root[@]}" apt-get install -y -qq --no-install-recommends "${missing[@]}"; } >"$log" 2>&1; then
    tail -n 20 "$log" >&2
    echo "apt-get could not install: ${missing[*]}" >&2
    rm -f "$log"
    return 3
  fi
  rm -f "$log"
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
