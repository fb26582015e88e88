#include "field/wave/wave_matrices.h"

#include <algorithm>
#include <array>
#include <cstdint>
#include <map>

#include "base/parallel.h"
#include "field/wave/tetrahedron.h"

namespace cabinfield {
namespace {

using TetrahedronMatrix = Eigen::Matrix<double, 10, 10>;
using TriangleMatrix = Eigen::Matrix<double, 6, 6>;

/// A polynomial in the barycentric coordinates of N corners: coefficients by exponents.
template <int N>
using Polynomial = std::map<std::array<int, N>, double>;

template <int N>
Polynomial<N> product(const Polynomial<N>& a, const Polynomial<N>& b) {
  Polynomial<N> result;
  for (const auto& [ea, ca] : a)
    for (const auto& [eb, cb] : b) {
      std::array<int, N> e = ea;
      for (int i = 0; i < N; ++i) e[i] += eb[i];
      result[e] += ca * cb;
    }
  return result;
}

template <int N>
Polynomial<N> derivative(const Polynomial<N>& p, int by) {
  Polynomial<N> result;
  for (const auto& [e, c] : p)
    if (e[by] > 0) {
      std::array<int, N> lower = e;
      --lower[by];
      result[lower] += c * e[by];
    }
  return result;
}

/// Mean over the simplex, exact: the integral of L1^a L2^b ... over its size is (N-1)! a! b! ... /
/// (a + b + ... + N - 1)! (Zienkiewicz & Taylor, The Finite Element Method, vol. 1, from memory).
template <int N>
double mean(const Polynomial<N>& p) {
  auto factorial = [](int n) {
    double value = 1;
    for (int i = 2; i <= n; ++i) value *= i;
    return value;
  };
  double sum = 0;
  for (const auto& [e, c] : p) {
    double top = factorial(N - 1);
    int total = N - 1;
    for (int exponent : e) {
      top *= factorial(exponent);
      total += exponent;
    }
    sum += c * top / factorial(total);
  }
  return sum;
}

/// Second-order shape functions: corners, then edges, numbered as in FiniteElementSpace.
template <int N>
std::vector<Polynomial<N>> quadratic_shapes() {
  std::vector<Polynomial<N>> shapes;
  for (int i = 0; i < N; ++i) {
    std::array<int, N> one{}, two{};
    one[i] = 1;
    two[i] = 2;
    shapes.push_back({{two, 2.0}, {one, -1.0}});
  }
  for (int i = 0; i < N; ++i)
    for (int j = i + 1; j < N; ++j) {
      std::array<int, N> both{};
      both[i] = both[j] = 1;
      shapes.push_back({{both, 4.0}});
    }
  return shapes;
}

/// Mean of phi_i phi_j over the simplex.
template <int N, typename Matrix>
Matrix mean_products() {
  const auto shapes = quadratic_shapes<N>();
  Matrix m;
  for (int i = 0; i < m.rows(); ++i)
    for (int j = 0; j < m.cols(); ++j) m(i, j) = mean<N>(product<N>(shapes[i], shapes[j]));
  return m;
}

/// Mean of dphi_i/dL_a dphi_j/dL_b over the tetrahedron, for each a and b.
std::array<std::array<TetrahedronMatrix, 4>, 4> mean_slopes() {
  const auto shapes = quadratic_shapes<4>();
  std::array<std::array<TetrahedronMatrix, 4>, 4> m;
  for (int a = 0; a < 4; ++a)
    for (int b = 0; b < 4; ++b)
      for (int i = 0; i < 10; ++i)
        for (int j = 0; j < 10; ++j)
          m[a][b](i, j) = mean<4>(product<4>(derivative<4>(shapes[i], a), derivative<4>(shapes[j], b)));
  return m;
}

BarycentricGradients gradients(const Mesh& mesh, int t) {
  const auto& [a, b, c, d] = mesh.tetrahedron[t];
  return barycentric_gradients(mesh.node[a], mesh.node[b], mesh.node[c], mesh.node[d]);
}

}  // namespace

WaveMatrices::WaveMatrices(const FiniteElementSpace& space, const Cabin& cabin) {
  const Mesh& mesh = space.mesh();
  const std::size_t degrees_of_freedom = static_cast<std::size_t>(space.degrees_of_freedom());

  // Step 1: the shared sparsity pattern of the lower triangle, compressed by columns: all pairs of degrees of
  // freedom that share a tetrahedron or face each other across a sheet.
  std::vector<std::uint64_t> keys;
  keys.reserve(55 * space.tetrahedra().size());
  auto key = [](int i, int j) {
    return (static_cast<std::uint64_t>(std::min(i, j)) << 32) | static_cast<std::uint64_t>(std::max(i, j));
  };
  for (const auto& degree_of_freedom : space.tetrahedra())
    for (int i = 0; i < 10; ++i)
      for (int j = 0; j <= i; ++j) keys.push_back(key(degree_of_freedom[i], degree_of_freedom[j]));
  for (const auto& sheet : space.sheets())
    for (int i : sheet.front)
      for (int j : sheet.back) keys.push_back(key(i, j));
  std::sort(keys.begin(), keys.end());
  keys.erase(std::unique(keys.begin(), keys.end()), keys.end());
  column_start_.assign(degrees_of_freedom + 1, 0);
  for (std::uint64_t k : keys) {
    column_.push_back(static_cast<int>(k >> 32));
    row_.push_back(static_cast<int>(k & 0xffffffffu));
    ++column_start_[column_.back() + 1];
  }
  for (std::size_t i = 0; i < degrees_of_freedom; ++i) column_start_[i + 1] += column_start_[i];
  auto nonzero_of = [&](int i, int j) {
    const int from = column_start_[std::min(i, j)], to = column_start_[std::min(i, j) + 1];
    return static_cast<int>(std::lower_bound(row_.begin() + from, row_.begin() + to, std::max(i, j)) -
                            row_.begin());
  };

  // Assembly of one term: element matrices are added into a buffer as long as the pattern, and the touched
  // nonzeros are stored.
  std::vector<double> buffer(row_.size(), 0.0);
  std::vector<char> touched(row_.size(), 0);
  auto add = [&](int i, int j, double value) {
    const int nonzero = nonzero_of(i, j);
    buffer[nonzero] += value;
    touched[nonzero] = 1;
  };
  auto store_term = [&](OperatorTerm::Kind kind, int index) {
    OperatorTerm term{kind, index, {}, {}};
    for (std::size_t nonzero = 0; nonzero < buffer.size(); ++nonzero)
      if (touched[nonzero]) {
        term.nonzero.push_back(static_cast<int>(nonzero));
        term.value.push_back(buffer[nonzero]);
        buffer[nonzero] = 0;
        touched[nonzero] = 0;
      }
    if (!term.nonzero.empty()) terms_.push_back(std::move(term));
  };

  // Step 2: stiffness and mass of each region. With grad p = sum_a dp/dL_a grad L_a the stiffness is
  // V sum_ab (grad L_a . grad L_b) mean(dphi_i/dL_a dphi_j/dL_b), the mass V mean(phi_i phi_j).
  std::map<int, std::vector<int>> members;  // of each region
  for (std::size_t t = 0; t < mesh.tetrahedron.size(); ++t)
    members[mesh.region[t]].push_back(static_cast<int>(t));
  const auto slopes = mean_slopes();
  const auto mass = mean_products<4, TetrahedronMatrix>();
  for (const auto& [region, tetrahedra] : members) {
    for (int t : tetrahedra) {
      const auto [gradient, volume_m3] = gradients(mesh, t);
      TetrahedronMatrix local = TetrahedronMatrix::Zero();
      for (int a = 0; a < 4; ++a)
        for (int b = 0; b < 4; ++b) local += (volume_m3 * gradient[a].dot(gradient[b])) * slopes[a][b];
      const auto& degree_of_freedom = space.tetrahedra()[t];
      for (int i = 0; i < 10; ++i)
        for (int j = 0; j <= i; ++j) add(degree_of_freedom[i], degree_of_freedom[j], local(i, j));
    }
    store_term(OperatorTerm::Kind::stiffness, region);
    for (int t : tetrahedra) {
      const double volume = gradients(mesh, t).volume_m3;
      const auto& degree_of_freedom = space.tetrahedra()[t];
      for (int i = 0; i < 10; ++i)
        for (int j = 0; j <= i; ++j) add(degree_of_freedom[i], degree_of_freedom[j], volume * mass(i, j));
    }
    store_term(OperatorTerm::Kind::mass, region);
  }

  // Step 3: wall matrices, one for each pair of surface and material.
  const auto wall = mean_products<3, TriangleMatrix>();
  std::map<std::array<int, 2>, std::vector<const FiniteElementSpace::BoundaryElement*>> groups;
  for (const auto& triangle : space.boundary()) {
    const Face& face = cabin.faces()[triangle.face];
    groups[{face.surface, face.material}].push_back(&triangle);
  }
  for (const auto& [name, triangles] : groups) {
    WallGroup group{name[0], name[1], 0};
    for (const auto* triangle : triangles) {
      group.area_m2 += triangle->area_m2;
      for (int i = 0; i < 6; ++i)
        for (int j = 0; j <= i; ++j)
          add(triangle->degree_of_freedom[i], triangle->degree_of_freedom[j], triangle->area_m2 * wall(i, j));
    }
    store_term(OperatorTerm::Kind::wall, static_cast<int>(walls_.size()));
    walls_.push_back(group);
  }

  // Step 4: interface matrices of the jump [p] = front - back, one for each partition.
  std::map<int, std::vector<const FiniteElementSpace::InterfaceElement*>> sheets;
  for (const auto& triangle : space.sheets()) sheets[triangle.partition].push_back(&triangle);
  for (const auto& [partition, triangles] : sheets) {
    for (const auto* triangle : triangles)
      for (int i = 0; i < 6; ++i)
        for (int j = 0; j < 6; ++j) {
          const double value = triangle->area_m2 * wall(i, j);
          // The coupling is stored once, in the lower triangle, unless front and back share the degree of
          // freedom (the free rim): then both of its halves fall on the diagonal.
          if (j <= i) {
            add(triangle->front[i], triangle->front[j], value);
            add(triangle->back[i], triangle->back[j], value);
          }
          const bool same = triangle->front[i] == triangle->back[j];
          add(triangle->front[i], triangle->back[j], same ? -2 * value : -value);
        }
    store_term(OperatorTerm::Kind::sheet, partition);
  }
}

namespace {

template <typename Scalar>
std::vector<Scalar> weighed_sum(const std::vector<OperatorTerm>& terms, std::size_t entries,
                                std::span<const Scalar> weight) {
  std::vector<Scalar> sum(entries, Scalar(0));
  for (std::size_t t = 0; t < terms.size(); ++t) {
    if (weight[t] == Scalar(0)) continue;
    for (std::size_t i = 0; i < terms[t].nonzero.size(); ++i)
      sum[terms[t].nonzero[i]] += weight[t] * terms[t].value[i];
  }
  return sum;
}

}  // namespace

std::vector<Complex> WaveMatrices::weighed(std::span<const Complex> weight) const {
  return weighed_sum(terms_, row_.size(), weight);
}

std::vector<double> WaveMatrices::weighed(std::span<const double> weight) const {
  return weighed_sum(terms_, row_.size(), weight);
}

BasisMatrix WaveMatrices::times(const OperatorTerm& term, const BasisMatrix& basis_vectors) const {
  // Fixed batches of columns, so that the result does not depend on the number of threads.
  constexpr Eigen::Index batch = 32;
  BasisMatrix result = BasisMatrix::Zero(basis_vectors.rows(), basis_vectors.cols());
  const std::size_t batches = static_cast<std::size_t>((basis_vectors.cols() + batch - 1) / batch);
  parallel_for(batches, [&](std::size_t b) {
    const Eigen::Index from = static_cast<Eigen::Index>(b) * batch,
                       width = std::min(batch, basis_vectors.cols() - from);
    for (std::size_t e = 0; e < term.nonzero.size(); ++e) {
      const int i = row_[term.nonzero[e]], j = column_[term.nonzero[e]];
      const double value = term.value[e];
      result.row(i).segment(from, width) += value * basis_vectors.row(j).segment(from, width);
      if (i != j) result.row(j).segment(from, width) += value * basis_vectors.row(i).segment(from, width);
    }
  });
  return result;
}

}  // namespace cabinfield
