// Storage inside the solver: rows of columns split by colour (i + j even: colour 0), so that the
// columns of one colour lie side by side and the neighbours of each are at a fixed distance:
//   row j, colour c holds i = 2 m + o with o = (c + j) & 1, at place m + 1 of its line;
//   west and east neighbours are in the other colour's line at m - 1 + o and m + o,
//   south and north neighbours in the other colour's line of rows j - 1 and j + 1 at m.
// One empty row surrounds the grid and one empty place each line, so that weights of zero may read.
//
// Weights (nyc, nxc: cells beside the column; D: depth; dh: rise of the ground along an edge;
// ds_k = s_{k+1} - s_k):
//   east       we m_k   with we = nyc (D + D_E) / 8, m_k = ds_{k-1} + ds_k
//   up         Z_k = za / ds_k + zb e_k / ds_k + zc ds_k
//              za = dx^2 nxc nyc r^2 / (4 D), zb = (nyc (dhE^2 + dhW^2) + nxc (dhN^2 + dhS^2)) / 8
//              D, e_k = (1 - s_k)^2 + (1 - s_{k+1})^2, zc = qe - qw + qn - qs
//   east, up   qe t_k   with qe = -nyc dhE / 8, t_k = 2 - s_k - s_{k+1}
//   east, down -qe t_{k-1};  west, up -qw t_k;  west, down qw t_{k-1};  likewise north and south.
// The diagonal is the sum of all weights.
#pragma once

#include <cstddef>
#include <vector>

namespace leeward::compute::rows {

/// Shape of the split storage of one level.
struct Shape {
  int nx = 0, ny = 0, nz = 0;
  int active = 0;  ///< Levels with unknowns: nz - 1 under an open lid.
  size_t line = 0;

  size_t flat_index(int j, int c) const {
    return (static_cast<size_t>(j) * 2 + static_cast<size_t>(c)) * line + 1;
  }
  size_t index(int j, int c, int k) const {
    return ((static_cast<size_t>(j + 1) * 2 + static_cast<size_t>(c)) * static_cast<size_t>(nz) +
            static_cast<size_t>(k)) *
               line +
           1;
  }
  size_t flat_size() const { return static_cast<size_t>(ny) * 2 * line + 1; }
  size_t size() const {
    return static_cast<size_t>(ny + 2) * 2 * static_cast<size_t>(nz) * line + 1;
  }
  int offset(int j, int c) const { return (c + j) & 1; }
  int count(int j, int c) const { return (nx - offset(j, c) + 1) / 2; }
};

/// Weights of one level as values of columns (split storage) and of levels.
template <class T>
struct Weights {
  std::vector<T> we, ww, wn, ws, qe, qw, qn, qs, za, zb, zc;
  std::vector<T> m, t, a, b, c;  // by k; t, a, b, c are zero above the last layer

  T z(size_t column, int k) const {
    const size_t n = static_cast<size_t>(k);
    return za[column] * a[n] + zb[column] * b[n] + zc[column] * c[n];
  }
  T diagonal(size_t column, int k) const {
    const size_t n = static_cast<size_t>(k);
    const T sides = we[column] + ww[column] + wn[column] + ws[column];
    const T below = k > 0 ? z(column, k - 1) : T(0);
    const T t_below = k > 0 ? t[n - 1] : T(0);
    return m[n] * sides + z(column, k) + below + zc[column] * (t[n] - t_below);
  }
};

/// The neighbours in other columns: out = sum of weight * value, for one colour of row j.
void gather(const Shape& s, const Weights<float>& w, const float* v, int j, int c, float* out);
/// Solves the columns of one colour in one row; `sides` says whether the neighbours count (the
/// first half sweep starts from zero). `inverse` holds 1 / pivot, 0 in columns that stay zero.
void relax(const Shape& s, const Weights<float>& w, const float* inverse, const float* rhs,
           float* v, int j, int c, bool sides);
/// out = A v for one row and colour; `free` is 0 in columns that stay zero.
void apply(const Shape& s, const Weights<double>& w, const double* free, const double* v,
           double* out, int j, int c);
/// Adjoint of bilinear interpolation into coarse row j; only colour 0 has a residual (colour 1 was
/// just solved).
void restrict_to(const Shape& fine, const float* residual, const Shape& coarse, float* rhs, int j);
/// Bilinear interpolation into colour 0 of fine row j; colour 1 is solved next from colour 0 alone.
void interpolate(const Shape& coarse, const float* x, const Shape& fine, float* out, int j);

/// Sums and maxima in a fixed order: the same on every machine.
double dot(const double* a, const double* b, std::size_t n);
double dot(const double* a, const float* b, std::size_t n);
double largest_scaled(const double* r, const double* scale, std::size_t n);
/// x += alpha p, r -= alpha ap, and r rounded.
void step(double alpha, const double* p, const double* ap, double* x, double* r, float* r_rounded,
          std::size_t n);
/// p = z + beta p
void turn(double beta, const float* z, double* p, std::size_t n);

}  // namespace leeward::compute::rows
