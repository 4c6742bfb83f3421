#include "core/compute/multigrid_rows.h"

#include "core/base/multiversion.h"

#include <algorithm>
#include <cstring>

namespace leeward::compute::rows {
namespace {

#define LEEWARD_INLINE [[gnu::always_inline]] inline

// Lanes: plain arithmetic on kLanes columns (doubles: half as many), which each instruction set
// splits as it must. Taken and given by reference: their size would change how they are passed.
template <class T>
struct LanesOf;
template <>
struct LanesOf<float> {
  using Type [[gnu::vector_size(64)]] = float;
};
template <>
struct LanesOf<double> {
  using Type [[gnu::vector_size(64)]] = double;
  using Rounded [[gnu::vector_size(32)]] = float;
};
using F = LanesOf<float>::Type;
using D = LanesOf<double>::Type;
using HalfF = LanesOf<double>::Rounded;

template <class V, class T>
LEEWARD_INLINE void load(V& v, const T* p) {
  static_assert(sizeof(v[0]) == sizeof(T));
  std::memcpy(&v, p, sizeof v);
}
LEEWARD_INLINE void load(D& v, const float* p) {
  HalfF f;
  std::memcpy(&f, p, sizeof f);
  v = __builtin_convertvector(f, D);
}
template <class V, class T>
LEEWARD_INLINE void store(T* p, const V& v) {
  static_assert(sizeof(v[0]) == sizeof(T));
  std::memcpy(p, &v, sizeof v);
}
LEEWARD_INLINE void store(float* p, const D& v) {
  const HalfF f = __builtin_convertvector(v, HalfF);
  std::memcpy(p, &f, sizeof f);
}

// Some columns of a row, level by level: each value around them is read once.
template <class T>
struct Around {
  using V = typename LanesOf<T>::Type;
  V east, west, north, south, slope_e, slope_w, slope_n, slope_s;
  V level, slope, slope_up, slope_down;  // sums over the sides at a level, above and below it
  V level_up;
  const T *e, *n, *s;
  const T *m, *t;
  size_t line;
  int nz;

  LEEWARD_INLINE Around(const Row<T>& row, const Sides<T>& sides, size_t at)
      : e(sides.same + at + row.offset),
        n(sides.north + at),
        s(sides.south + at),
        m(row.factors->m.data()),
        t(row.factors->t.data()),
        line(row.line),
        nz(row.nz) {
    const auto column = [&](V& v, Column which) {
      load(v, row.values + static_cast<size_t>(which) * row.line + at);
    };
    column(east, kEast), column(west, kWest), column(north, kNorth), column(south, kSouth);
    column(slope_e, kSlopeE), column(slope_w, kSlopeW);
    column(slope_n, kSlopeN), column(slope_s, kSlopeS);
    level_up = V{}, slope = V{}, slope_up = V{};
    read(0);
  }
  LEEWARD_INLINE void read(size_t k) {
    V ve, vw, vn, vs;
    load(ve, e + k * line), load(vw, e + k * line - 1);
    load(vn, n + k * line), load(vs, s + k * line);
    level_up = (east * ve + west * vw) + (north * vn + south * vs);
    slope_up = (slope_e * ve - slope_w * vw) + (slope_n * vn - slope_s * vs);
  }
  // The sum over the neighbours in other columns at level k; to be asked of 0, 1, 2 ...
  LEEWARD_INLINE void sum(V& out, int k) {
    const size_t n0 = static_cast<size_t>(k);
    slope_down = slope, slope = slope_up, level = level_up;
    if (k + 1 < nz) read(n0 + 1);
    const T below = k > 0 ? t[n0 - 1] : T(0);
    out = m[n0] * level + (t[n0] * slope_up - below * slope_down);
  }
};

// The weights of some columns upward.
template <class T>
struct Upward {
  using V = typename LanesOf<T>::Type;
  V za, zb, zc;
  const Factors<T>& f;

  LEEWARD_INLINE Upward(const Row<T>& row, size_t at) : f(*row.factors) {
    load(za, row.values + kZa * row.line + at);
    load(zb, row.values + kZb * row.line + at);
    load(zc, row.values + kZc * row.line + at);
  }
  LEEWARD_INLINE void weight(V& out, int k) const {
    const size_t n = static_cast<size_t>(k);
    out = za * f.a[n] + zb * f.b[n] + zc * f.c[n];
  }
};

// Diagonals of some columns, to be asked of 0, 1, 2 ... with the weights up and down.
template <class T>
struct Diagonal {
  using V = typename LanesOf<T>::Type;
  V sides;

  LEEWARD_INLINE Diagonal(const Row<T>& row, size_t at) {
    V e, w, n, s;
    load(e, row.values + kEast * row.line + at), load(w, row.values + kWest * row.line + at);
    load(n, row.values + kNorth * row.line + at), load(s, row.values + kSouth * row.line + at);
    sides = e + w + n + s;
  }
  LEEWARD_INLINE void at(V& out, const Upward<T>& z, const V& up, const V& down, int k) const {
    const size_t n = static_cast<size_t>(k);
    const T below = k > 0 ? z.f.t[n - 1] : T(0);
    out = z.f.m[n] * sides + up + down + z.zc * (z.f.t[n] - below);
  }
};

template <class T>
LEEWARD_INLINE void open_of(typename LanesOf<T>::Type& out, const Row<T>& row, size_t at) {
  load(out, row.values + kPerVolume * row.line + at);
  const typename LanesOf<T>::Type one = typename LanesOf<T>::Type{} + T(1);
  out = out > T(0) ? one : one - one;
}

template <class Fn>
LEEWARD_INLINE void each_lanes(int columns, size_t lanes, Fn&& fn) {
  for (size_t at = 0; at < static_cast<size_t>(columns); at += lanes) fn(at);
}

LEEWARD_INLINE void upward_back(const Row<float>& row, const float* inverse, float* x, size_t at,
                                const Upward<float>& z) {
  F above, v, i, up;
  load(above, x + static_cast<size_t>(row.active - 1) * row.line + at);
  for (int k = row.active - 2; k >= 0; --k) {
    const size_t n = static_cast<size_t>(k) * row.line + at;
    load(v, x + n), load(i, inverse + n);
    z.weight(up, k);
    above = v + up * i * above;
    store(x + n, above);
  }
}

template <bool kSource>
LEEWARD_INLINE void solve_between_of(const Row<float>& row, const float* inverse,
                                     const Sides<float>& sides, const float* rhs, float* x) {
  each_lanes(
      row.columns, kLanes, [&](size_t at) __attribute__((always_inline)) {
        Around<float> around(row, sides, at);
        const Upward<float> z(row, at);
        F v{}, sum, i, f, down{};
        for (int k = 0; k < row.active; ++k) {
          const size_t n = static_cast<size_t>(k) * row.line + at;
          around.sum(sum, k);
          if constexpr (kSource) load(f, rhs + n), sum += f;
          load(i, inverse + n);
          v = (sum + down * v) * i;
          store(x + n, v);
          z.weight(down, k);
        }
        upward_back(row, inverse, x, at, z);
      });
}

}  // namespace

LEEWARD_CLONES void pivots(const Row<float>& row, float* inverse) {
  each_lanes(
      row.columns, kLanes, [&](size_t at) __attribute__((always_inline)) {
        const Upward<float> z(row, at);
        const Diagonal<float> diagonal(row, at);
        F open, up, down{}, d, i{};
        open_of(open, row, at);
        for (int k = 0; k < row.active; ++k) {
          z.weight(up, k);
          diagonal.at(d, z, up, down, k);
          i = open / (open * (d - down * down * i) + (1 - open));
          store(inverse + static_cast<size_t>(k) * row.line + at, i);
          down = up;
        }
      });
}

LEEWARD_CLONES void solve_alone(const Row<float>& row, const float* inverse, const float* rhs,
                                float* x) {
  each_lanes(
      row.columns, kLanes, [&](size_t at) __attribute__((always_inline)) {
        const Upward<float> z(row, at);
        F v{}, i, f, down{};
        for (int k = 0; k < row.active; ++k) {
          const size_t n = static_cast<size_t>(k) * row.line + at;
          load(f, rhs + n), load(i, inverse + n);
          v = (f + down * v) * i;
          store(x + n, v);
          z.weight(down, k);
        }
        upward_back(row, inverse, x, at, z);
      });
}

LEEWARD_CLONES void solve_between(const Row<float>& row, const float* inverse,
                                  const Sides<float>& sides, const float* rhs, float* x) {
  solve_between_of<true>(row, inverse, sides, rhs, x);
}
LEEWARD_CLONES void solve_between(const Row<float>& row, const float* inverse,
                                  const Sides<float>& sides, float* x) {
  solve_between_of<false>(row, inverse, sides, nullptr, x);
}

LEEWARD_CLONES void gather(const Row<float>& row, const Sides<float>& sides, float* out) {
  each_lanes(
      row.columns, kLanes, [&](size_t at) __attribute__((always_inline)) {
        Around<float> around(row, sides, at);
        F sum;
        for (int k = 0; k < row.active; ++k) {
          around.sum(sum, k);
          store(out + static_cast<size_t>(k) * row.line + at, sum);
        }
      });
}

namespace {

// A x of some columns, level by level; `use(k, value of x, value of A x)`.
template <class T, class Use>
LEEWARD_INLINE void product(const Row<T>& row, const Sides<T>& sides, const T* x, size_t at,
                            Use&& use) {
  Around<T> around(row, sides, at);
  const Upward<T> z(row, at);
  const Diagonal<T> diagonal(row, at);
  typename LanesOf<T>::Type here, above{}, below{}, up, down{}, d, sum;
  load(here, x + at);
  for (int k = 0; k < row.active; ++k) {
    if (k + 1 < row.nz) load(above, x + static_cast<size_t>(k + 1) * row.line + at);
    around.sum(sum, k);
    z.weight(up, k);
    diagonal.at(d, z, up, down, k);
    sum = d * here - up * above - down * below - sum;
    use(k, here, sum);
    below = here, here = above, down = up;
  }
}

LEEWARD_INLINE double total(const D& v) {
  return ((v[0] + v[1]) + (v[2] + v[3])) + ((v[4] + v[5]) + (v[6] + v[7]));
}
LEEWARD_INLINE double total(const F& v) {
  HalfF half[2];
  std::memcpy(half, &v, sizeof v);
  return total(__builtin_convertvector(half[0], D) + __builtin_convertvector(half[1], D));
}

}  // namespace

LEEWARD_CLONES double apply(const Row<float>& row, const Sides<float>& sides, const float* p,
                            float* ap) {
  double out = 0;
  each_lanes(
      row.columns, kLanes, [&](size_t at) __attribute__((always_inline)) {
        F sum{};
        product(
            row, sides, p, at, [&](int k, const F& x, const F& ax) __attribute__((always_inline)) {
              store(ap + static_cast<size_t>(k) * row.line + at, ax);
              sum += x * ax;
            });
        out += total(sum);
      });
  return out;
}

LEEWARD_CLONES void residual(const Row<double>& row, const Sides<double>& sides, const double* rhs,
                             const double* x, float* r, Largest& most) {
  D residual{}, change{};
  each_lanes(
      row.columns, kLanes / 2, [&](size_t at) __attribute__((always_inline)) {
        D per_volume, f, last;
        load(per_volume, row.values + kPerVolume * row.line + at);
        product(
            row, sides, x, at, [&](int k, const D&, const D& ax) __attribute__((always_inline)) {
              const size_t n = static_cast<size_t>(k) * row.line + at;
              load(f, rhs + n), load(last, r + n);
              f -= ax;
              store(r + n, f);
              const D share = per_volume * (1 / row.factors->m[static_cast<size_t>(k)]);
              last = (f - last) * share, f *= share;
              last = last < 0 ? -last : last, f = f < 0 ? -f : f;
              residual = f > residual ? f : residual, change = last > change ? last : change;
            });
      });
  for (int l = 0; l < kLanes / 2; ++l) {
    most.residual = std::max(most.residual, residual[l]);
    most.change = std::max(most.change, change[l]);
  }
}

// Two packs of columns at a time: each waits for its own divisions only.
LEEWARD_CLONES void solve_exactly(const Row<double>& row, const Sides<double>& sides,
                                  const double* rhs, double* work, double* x) {
  constexpr size_t kHalf = kLanes / 2;
  each_lanes(
      row.columns, kHalf, [&](size_t at) __attribute__((always_inline)) {
        Around<double> around(row, sides, at);
        D sum, f;
        for (int k = 0; k < row.active; ++k) {
          const size_t n = static_cast<size_t>(k) * row.line + at;
          around.sum(sum, k);
          load(f, rhs + n);
          f += sum;
          store(x + n, f);
        }
      });
  each_lanes(
      row.columns, kLanes, [&](size_t at) __attribute__((always_inline)) {
        const Upward<double> z[2] = {{row, at}, {row, at + kHalf}};
        const Diagonal<double> diagonal[2] = {{row, at}, {row, at + kHalf}};
        D open[2], v[2] = {}, i[2] = {}, up[2], down[2] = {}, d[2], f[2];
        open_of(open[0], row, at), open_of(open[1], row, at + kHalf);
        for (int k = 0; k < row.active; ++k) {
          for (size_t h = 0; h < 2; ++h) {
            const size_t n = static_cast<size_t>(k) * row.line + at + h * kHalf;
            load(f[h], x + n);
            z[h].weight(up[h], k);
            diagonal[h].at(d[h], z[h], up[h], down[h], k);
            d[h] += 1 - open[h];
            i[h] = open[h] / (d[h] - down[h] * down[h] * i[h]);
            v[h] = (f[h] + down[h] * v[h]) * i[h];
            store(x + n, v[h]);
            down[h] = up[h];
            up[h] *= i[h];
            store(work + static_cast<size_t>(k) * kLanes + h * kHalf, up[h]);
          }
        }
        for (int k = row.active - 2; k >= 0; --k)
          for (size_t h = 0; h < 2; ++h) {
            const size_t n = static_cast<size_t>(k) * row.line + at + h * kHalf;
            load(f[h], x + n), load(up[h], work + static_cast<size_t>(k) * kLanes + h * kHalf);
            v[h] = f[h] + up[h] * v[h];
            store(x + n, v[h]);
          }
      });
}

LEEWARD_CLONES void add(size_t n, const float* a, float* to) {
  for (size_t i = 0; i < n; ++i) to[i] += a[i];
}

LEEWARD_CLONES float step(const Row<float>& row, float alpha, const float* ap, float* r) {
  F most{};
  each_lanes(
      row.columns, kLanes, [&](size_t at) __attribute__((always_inline)) {
        F per_volume, v, a;
        load(per_volume, row.values + kPerVolume * row.line + at);
        for (int k = 0; k < row.active; ++k) {
          const size_t n = static_cast<size_t>(k) * row.line + at;
          load(v, r + n), load(a, ap + n);
          v -= alpha * a;
          store(r + n, v);
          v = (v < 0 ? -v : v) * (per_volume * (1 / row.factors->m[static_cast<size_t>(k)]));
          most = v > most ? v : most;
        }
      });
  float out = 0;
  for (int l = 0; l < kLanes; ++l) out = std::max(out, most[l]);
  return out;
}

LEEWARD_CLONES void turn(size_t n, float alpha, float beta, const float* z, float* p, float* e) {
  F sum, direction, fresh;
  for (size_t at = 0; at < n; at += kLanes) {
    load(sum, e + at), load(direction, p + at), load(fresh, z + at);
    sum += alpha * direction;
    direction = fresh + beta * direction;
    store(e + at, sum), store(p + at, direction);
  }
}

LEEWARD_CLONES void gain(size_t n, float alpha, const float* p, float* e, double* x) {
  D sum, step, direction;
  for (size_t at = 0; at < n; at += kLanes / 2) {
    load(sum, x + at), load(step, e + at), load(direction, p + at);
    sum += step + static_cast<double>(alpha) * direction;
    step = D{};
    store(x + at, sum), store(e + at, step);
  }
}

LEEWARD_CLONES double dot(size_t n, const float* a, const float* b) {
  D sum{}, u, v;
  for (size_t at = 0; at < n; at += kLanes / 2) {
    load(u, a + at), load(v, b + at);
    sum += u * v;
  }
  return total(sum);
}

LEEWARD_CLONES void restrict_to(const Shape& fine, const Sides<float>& residual,
                                const Shape& coarse, int j, float* work, float* const out[2]) {
  for (int k = 0; k < coarse.active; ++k) {
    const size_t n = static_cast<size_t>(k) * fine.line;
    const float *south = residual.south + n, *same = residual.same + n, *north = residual.north + n;
    for (int i = 0; i < coarse.nx; ++i)
      work[i] = same[i] + 0.25F * ((south[i] + south[i - 1]) + (north[i] + north[i - 1]));
    for (int c = 0; c < 2; ++c) {
      float* to = out[c] + static_cast<size_t>(k) * coarse.line;
      const float* from = work + coarse.offset(j, c);
      const int count = coarse.count(j, c);
      for (int m = 0; m < count; ++m) to[m] = from[2 * m];
    }
  }
}

namespace {

// Lines of both colours to lines of columns side by side, `stride` apart.
template <class T, class To>
LEEWARD_INLINE void join_lines(const Shape& s, int j, int levels, const T* colour0,
                               const T* colour1, To* out, size_t stride) {
  const int odd = 1 - s.offset(j, 0);  // the colour of the second column
  const T *a = odd == 1 ? colour0 : colour1, *b = odd == 1 ? colour1 : colour0;
  const int pairs = s.count(j, odd), rest = s.count(j, 1 - odd) - pairs;
  for (int k = 0; k < levels; ++k) {
    const T *p = a + static_cast<size_t>(k) * s.line, *q = b + static_cast<size_t>(k) * s.line;
    To* to = out + static_cast<size_t>(k) * stride;
#pragma GCC ivdep
    for (int m = 0; m < pairs; ++m) to[2 * m] = p[m], to[2 * m + 1] = q[m];
    if (rest > 0) to[2 * pairs] = p[pairs];
  }
}

template <class T>
LEEWARD_INLINE void split_lines(const Shape& s, int j, const double* nodes, T* colour0,
                                T* colour1) {
  const int odd = 1 - s.offset(j, 0);
  T *a = odd == 1 ? colour0 : colour1, *b = odd == 1 ? colour1 : colour0;
  const int pairs = s.count(j, odd), rest = s.count(j, 1 - odd) - pairs;
  for (int k = 0; k < s.active; ++k) {
    const double* from = nodes + static_cast<size_t>(k) * static_cast<size_t>(s.nx);
    T *p = a + static_cast<size_t>(k) * s.line, *q = b + static_cast<size_t>(k) * s.line;
#pragma GCC ivdep
    for (int m = 0; m < pairs; ++m)
      p[m] = static_cast<T>(from[2 * m]), q[m] = static_cast<T>(from[2 * m + 1]);
    if (rest > 0) p[pairs] = static_cast<T>(from[2 * pairs]);
  }
}

}  // namespace

LEEWARD_CLONES void join(const Shape& coarse, int j, const float* colour0, const float* colour1,
                         const Shape& fine, float* out) {
  join_lines(coarse, j, coarse.active, colour0, colour1, out, fine.line);
}
LEEWARD_CLONES void join(const Shape& s, int j, int levels, const double* colour0,
                         const double* colour1, double* nodes) {
  join_lines(s, j, std::min(levels, s.active), colour0, colour1, nodes, static_cast<size_t>(s.nx));
}
LEEWARD_CLONES void join(const Shape& s, int j, int levels, const float* colour0,
                         const float* colour1, double* nodes) {
  join_lines(s, j, std::min(levels, s.active), colour0, colour1, nodes, static_cast<size_t>(s.nx));
}
LEEWARD_CLONES void split(const Shape& s, int j, const double* nodes, double* colour0,
                          double* colour1) {
  split_lines(s, j, nodes, colour0, colour1);
}
LEEWARD_CLONES void split(const Shape& s, int j, const double* nodes, float* colour0,
                          float* colour1) {
  split_lines(s, j, nodes, colour0, colour1);
}

LEEWARD_CLONES void interpolate(const Shape& fine, int j, const float* south, const float* north,
                                bool add, float* out) {
  const int count = fine.count(j, 0);
  const float keep = add ? 1 : 0;
  for (int k = 0; k < fine.active; ++k) {
    const size_t n = static_cast<size_t>(k) * fine.line;
    const float *a = south + n, *b = north + n;
    float* v = out + n;
    if (j % 2 == 0) {
      for (int m = 0; m < count; ++m) v[m] = keep * v[m] + a[m];
    } else {
      for (int m = 0; m < count; ++m)
        v[m] = keep * v[m] + 0.25F * ((a[m] + a[m + 1]) + (b[m] + b[m + 1]));
    }
  }
}

}  // namespace leeward::compute::rows
