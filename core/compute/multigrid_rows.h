// Rows of columns: storage inside the solver and what is done to one row at a time.
//
// The columns of a row are split by colour (i + j even: colour 0), so that those of one colour lie
// side by side and the neighbours of each are at a fixed distance:
//   row j, colour c holds i = 2 m + o with o = (c + j) & 1, at place m of its line;
//   west and east neighbours are in the other colour's line at m - 1 + o and m + o,
//   south and north neighbours in the other colour's line of rows j - 1 and j + 1 at m.
// A strip is one colour of one row: nz lines. A line is a multiple of kLanes long and has at least
// one empty place, zero, behind its columns, which the next line reads as its place -1.
//
// Weights (nyc, nxc: cells beside the column; D: depth; dh: rise of the ground along an edge;
// ds_k = s_{k+1} - s_k):
//   east       we m_k   with we = nyc (D + D_E) / 8, m_k = ds_{k-1} + ds_k
//   up         Z_k = za r^2 / ds_k + zb e_k / ds_k + zc ds_k
//              za = dx^2 nxc nyc / (4 D), zb = (nyc (dhE^2 + dhW^2) + nxc (dhN^2 + dhS^2)) / 8
//              D, e_k = (1 - s_k)^2 + (1 - s_{k+1})^2, zc = qe - qw + qn - qs
//   east, up   qe t_k   with qe = -nyc dhE / 8, t_k = 2 - s_k - s_{k+1}
//   east, down -qe t_{k-1};  west, up -qw t_k;  west, down qw t_{k-1};  likewise north and south.
// The diagonal is the sum of all weights.
#pragma once

#include "core/base/large_pages.h"

#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <memory>
#include <new>
#include <vector>

namespace leeward::compute::rows {

constexpr int kLanes = 16;  ///< Columns worked on at once.

/// Zeros, from the beginning of a cache line on; large ones fill large pages.
template <class T>
class Zeros {
 public:
  Zeros() = default;
  explicit Zeros(size_t n) {
    const size_t bytes = n * sizeof(T), align = bytes >= kLarge ? kLarge : size_t{64};
    const size_t rounded = (bytes + align - 1) / align * align;
    memory_.reset(std::calloc(rounded + align, 1));
    if (!memory_) throw std::bad_alloc();
    const size_t past = reinterpret_cast<std::uintptr_t>(memory_.get()) % align;
    first_ = reinterpret_cast<T*>(static_cast<std::byte*>(memory_.get()) + (align - past));
    if (align == kLarge) prefer_large_pages(first_, rounded);
  }
  T& operator[](size_t n) { return first_[n]; }

 private:
  static constexpr size_t kLarge = size_t{2} << 20;
  struct Free {
    void operator()(void* p) const { std::free(p); }
  };
  std::unique_ptr<void, Free> memory_;
  T* first_ = nullptr;
};

struct Shape {
  int nx = 0, ny = 0, nz = 0;
  int active = 0;  ///< Levels with unknowns: nz - 1 under an open lid.
  size_t line = 0;

  int offset(int j, int c) const { return (c + j) & 1; }
  int count(int j, int c) const { return (nx - offset(j, c) + 1) / 2; }
  size_t strip() const { return static_cast<size_t>(nz) * line; }
};

/// Values of nodes, `strips` strips a row (a colour each, or more), with an empty row on either
/// side.
template <class T>
class Strips {
 public:
  Strips() = default;
  Strips(const Shape& s, int rows, int strips)
      : strip_(s.strip()),
        strips_(static_cast<size_t>(strips)),
        v_(2 * kLanes + static_cast<size_t>(rows + 2) * strips_ * strip_) {}
  T* at(int j, int n = 0) {
    return &v_[kLanes + (static_cast<size_t>(j + 1) * strips_ + static_cast<size_t>(n)) * strip_];
  }
  const T* at(int j, int n = 0) const { return const_cast<Strips*>(this)->at(j, n); }

 private:
  size_t strip_ = 0, strips_ = 0;
  Zeros<T> v_;
};

/// The strips of the last few rows of one colour, and an empty one for rows outside the grid.
template <class T>
class Window {
 public:
  static constexpr int kRows = 4;
  Window(const Shape& s) : rows_(s.ny), strips_(s, kRows, 1) {}
  T* at(int j) { return strips_.at(j < 0 || j >= rows_ ? kRows : j % kRows); }

 private:
  int rows_;
  Strips<T> strips_;
};

/// Values of columns, side by side for a strip.
enum Column {
  kEast,
  kWest,
  kNorth,
  kSouth,
  kSlopeE,
  kSlopeW,
  kSlopeN,
  kSlopeS,
  kZa,
  kZb,
  kZc,
  kPerVolume,  ///< 2 / (what a node of the column stands for, m_k left out); 0 in
               ///< columns that stay zero.
  kColumnValues
};

/// Weights as values of columns and of levels.
template <class T>
struct Columns {
  size_t line = 0;
  Zeros<T> values;
  T* at(int j, int c) {
    return &values[(static_cast<size_t>(j) * 2 + static_cast<size_t>(c)) * kColumnValues * line];
  }
  const T* at(int j, int c) const { return const_cast<Columns*>(this)->at(j, c); }
};
template <class T>
struct Factors {
  std::vector<T> m, t, a, b, c;  ///< By k; t, a, b, c are zero above the last layer. a has the r^2.
};

/// One colour of one row of the matrix.
template <class T>
struct Row {
  int columns, nz, active, offset;
  size_t line;
  const T* values;  ///< By Column.
  const Factors<T>* factors;
};

/// The strips of the other colour around a row.
template <class T>
struct Sides {
  const T *south, *same, *north;
};

/// 1 / pivot of the columns' tridiagonal matrices, 0 in columns that stay zero.
void pivots(const Row<float>& row, float* inverse);
/// Solves the columns alone, as if all around them were zero.
void solve_alone(const Row<float>& row, const float* inverse, const float* rhs, float* x);
/// Solves the columns for the given values around them.
void solve_between(const Row<float>& row, const float* inverse, const Sides<float>& sides,
                   const float* rhs, float* x);
void solve_between(const Row<float>& row, const float* inverse, const Sides<float>& sides,
                   float* x);
/// The neighbours in other columns: out = sum of weight * value.
void gather(const Row<float>& row, const Sides<float>& sides, float* out);
/// ap = A p; returns the sum of p ap.
double apply(const Row<float>& row, const Sides<float>& sides, const float* p, float* ap);
/// solve_between in double. `work` takes nz * kLanes values.
void solve_exactly(const Row<double>& row, const Sides<double>& sides, const double* rhs,
                   double* work, double* x);
/// Largest of their kind / node volume.
struct Largest {
  double residual = 0, change = 0;
};
/// r = rhs - A x in double, rounded; raises `most` to the largest |r| and the largest change of r.
void residual(const Row<double>& row, const Sides<double>& sides, const double* rhs,
              const double* x, float* r, Largest& most);

/// to += a
void add(size_t n, const float* a, float* to);
/// r -= alpha ap; returns the largest |r| / node volume.
float step(const Row<float>& row, float alpha, const float* ap, float* r);
/// e += alpha p, then p = z + beta p
void turn(size_t n, float alpha, float beta, const float* z, float* p, float* e);
/// x += e + alpha p, then e = 0
void gain(size_t n, float alpha, const float* p, float* e, double* x);
double dot(size_t n, const float* a, const float* b);

/// A row of nodes (ColumnGrid::node), rounded or not, to strips of both colours.
void split(const Shape& s, int j, const double* nodes, double* colour0, double* colour1);
void split(const Shape& s, int j, const double* nodes, float* colour0, float* colour1);
/// Of the lowest `levels`.
void join(const Shape& s, int j, int levels, const float* colour0, const float* colour1,
          double* nodes);
void join(const Shape& s, int j, int levels, const double* colour0, const double* colour1,
          double* nodes);

/// Adjoint of bilinear interpolation into both colours of a coarse row: `south`, `same` and `north`
/// are what colour 0 of the fine rows around it lacks (colour 1 was just solved). Coarse colour c
/// begins at out[c]; `work` takes a fine line.
void restrict_to(const Shape& fine, const Sides<float>& residual, const Shape& coarse, int j,
                 float* work, float* const out[2]);
/// Both colours of a coarse row as one strip of the fine shape, columns side by side.
void join(const Shape& coarse, int j, const float* colour0, const float* colour1, const Shape& fine,
          float* out);
/// Bilinear interpolation of joined coarse rows into colour 0 of fine row j: out = or out +=.
void interpolate(const Shape& fine, int j, const float* south, const float* north, bool add,
                 float* out);

}  // namespace leeward::compute::rows
