#include "core/compute/multigrid_rows.h"

#include "core/base/multiversion.h"

#include <algorithm>
#include <cmath>

namespace leeward::compute::rows {
namespace {

// The 12 neighbours in other columns. Adds (or, with `set`, writes) weight * value for the columns
// of colour c in row j, level k.
template <class T>
[[gnu::always_inline]] inline void gather_sides(const Shape& s, const Weights<T>& w, const T* v,
                                                int j, int c, int k, T* out) {
  const size_t flat = s.flat_index(j, c);
  const T *we = &w.we[flat], *ww = &w.ww[flat], *wn = &w.wn[flat], *ws = &w.ws[flat];
  const T *qe = &w.qe[flat], *qw = &w.qw[flat], *qn = &w.qn[flat], *qs = &w.qs[flat];
  const int up = k + 1 < s.nz ? k + 1 : k, down = k > 0 ? k - 1 : k;
  const T mk = w.m[static_cast<size_t>(k)], tu = w.t[static_cast<size_t>(k)];
  const T td = k > 0 ? w.t[static_cast<size_t>(k) - 1] : T(0);
  const int o = s.offset(j, c), n = s.count(j, c), other = 1 - c;
  const T *e0 = v + s.index(j, other, k) + o, *eu = v + s.index(j, other, up) + o,
          *ed = v + s.index(j, other, down) + o;
  const T *n0 = v + s.index(j + 1, other, k), *nu = v + s.index(j + 1, other, up),
          *nd = v + s.index(j + 1, other, down);
  const T *s0 = v + s.index(j - 1, other, k), *su = v + s.index(j - 1, other, up),
          *sd = v + s.index(j - 1, other, down);
  // What is written lies in another colour's line than what is read.
#pragma GCC ivdep
  for (int m = 0; m < n; ++m) {
    const T level = we[m] * e0[m] + ww[m] * e0[m - 1] + wn[m] * n0[m] + ws[m] * s0[m];
    const T above = qe[m] * eu[m] - qw[m] * eu[m - 1] + qn[m] * nu[m] - qs[m] * su[m];
    const T below = qe[m] * ed[m] - qw[m] * ed[m - 1] + qn[m] * nd[m] - qs[m] * sd[m];
    out[m] = mk * level + tu * above - td * below;
  }
}

}  // namespace

LEEWARD_CLONES void gather(const Shape& s, const Weights<float>& w, const float* v, int j, int c,
                           float* out) {
  for (int k = 0; k < s.active; ++k) gather_sides(s, w, v, j, c, k, out + s.index(j, c, k));
}

LEEWARD_CLONES void relax(const Shape& s, const Weights<float>& w, const float* inverse,
                          const float* rhs, float* v, int j, int c, bool sides) {
  const size_t flat = s.flat_index(j, c);
  const int n = s.count(j, c);
  const float *za = &w.za[flat], *zb = &w.zb[flat], *zc = &w.zc[flat];
  for (int k = 0; k < s.active; ++k) {
    const size_t at = s.index(j, c, k);
    float* x = v + at;
    const float *f = rhs + at, *inv = inverse + at;
    if (sides) {
      gather_sides(s, w, v, j, c, k, x);
      for (int m = 0; m < n; ++m) x[m] += f[m];
    } else {
      for (int m = 0; m < n; ++m) x[m] = f[m];
    }
    if (k > 0) {
      const size_t b = static_cast<size_t>(k) - 1;
      const float ak = w.a[b], bk = w.b[b], ck = w.c[b];
      const float* below = v + s.index(j, c, k - 1);
      for (int m = 0; m < n; ++m) x[m] += (za[m] * ak + zb[m] * bk + zc[m] * ck) * below[m];
    }
    for (int m = 0; m < n; ++m) x[m] *= inv[m];
  }
  for (int k = s.active - 2; k >= 0; --k) {
    const size_t at = s.index(j, c, k), b = static_cast<size_t>(k);
    const float ak = w.a[b], bk = w.b[b], ck = w.c[b];
    float* x = v + at;
    const float *inv = inverse + at, *above = v + s.index(j, c, k + 1);
    for (int m = 0; m < n; ++m) x[m] += (za[m] * ak + zb[m] * bk + zc[m] * ck) * inv[m] * above[m];
  }
}

LEEWARD_CLONES void apply(const Shape& s, const Weights<double>& w, const double* free,
                          const double* v, double* out, int j, int c) {
  const size_t flat = s.flat_index(j, c);
  const int n = s.count(j, c);
  const double *za = &w.za[flat], *zb = &w.zb[flat], *zc = &w.zc[flat];
  const double *we = &w.we[flat], *ww = &w.ww[flat], *wn = &w.wn[flat], *ws = &w.ws[flat];
  const double* open = free + flat;
  for (int k = 0; k < s.active; ++k) {
    const size_t at = s.index(j, c, k), b = static_cast<size_t>(k), d = k > 0 ? b - 1 : b;
    double* y = out + at;
    gather_sides(s, w, v, j, c, k, y);
    const double *x = v + at, *above = v + s.index(j, c, k + 1 < s.nz ? k + 1 : k),
                 *below = v + s.index(j, c, k > 0 ? k - 1 : k);
    const double mk = w.m[b], au = w.a[b], bu = w.b[b], cu = w.c[b];
    const double has_below = k > 0 ? 1 : 0;
    const double ad = has_below * w.a[d], bd = has_below * w.b[d], cd = has_below * w.c[d];
    const double dt = w.t[b] - has_below * w.t[d];
#pragma GCC ivdep
    for (int m = 0; m < n; ++m) {
      const double zu = za[m] * au + zb[m] * bu + zc[m] * cu;
      const double zd = za[m] * ad + zb[m] * bd + zc[m] * cd;
      const double diagonal = mk * (we[m] + ww[m] + wn[m] + ws[m]) + zu + zd + zc[m] * dt;
      y[m] = open[m] * (diagonal * x[m] - zu * above[m] - zd * below[m] - y[m]);
    }
  }
}

namespace {

// Eight partial sums, so that they vectorise without reordering.
template <class A, class B>
[[gnu::always_inline]] inline double dot_line(const A* a, const B* b, size_t n) {
  double sum[8] = {};
  size_t i = 0;
  for (; i + 8 <= n; i += 8)
    for (size_t l = 0; l < 8; ++l)
      sum[l] += static_cast<double>(a[i + l]) * static_cast<double>(b[i + l]);
  for (; i < n; ++i) sum[0] += static_cast<double>(a[i]) * static_cast<double>(b[i]);
  return ((sum[0] + sum[1]) + (sum[2] + sum[3])) + ((sum[4] + sum[5]) + (sum[6] + sum[7]));
}
}  // namespace

LEEWARD_CLONES double dot(const double* a, const double* b, size_t n) { return dot_line(a, b, n); }
LEEWARD_CLONES double dot(const double* a, const float* b, size_t n) { return dot_line(a, b, n); }
LEEWARD_CLONES void step(double alpha, const double* p, const double* ap, double* x, double* r,
                         float* r_rounded, size_t n) {
  for (size_t i = 0; i < n; ++i) {
    x[i] += alpha * p[i];
    r[i] -= alpha * ap[i];
    r_rounded[i] = static_cast<float>(r[i]);
  }
}
// The largest |r| / volume of a row, as eight running maxima.
LEEWARD_CLONES double largest_scaled(const double* r, const double* scale, size_t n) {
  double most[8] = {};
  size_t i = 0;
  for (; i + 8 <= n; i += 8)
    for (size_t l = 0; l < 8; ++l) {
      const double v = std::abs(r[i + l]) * scale[i + l];
      most[l] = v > most[l] ? v : most[l];
    }
  for (; i < n; ++i) most[0] = std::max(most[0], std::abs(r[i]) * scale[i]);
  return *std::max_element(most, most + 8);
}
LEEWARD_CLONES void turn(double beta, const float* z, double* p, size_t n) {
  for (size_t i = 0; i < n; ++i) p[i] = static_cast<double>(z[i]) + beta * p[i];
}

void restrict_to(const Shape& fine, const float* residual, const Shape& coarse, float* rhs, int j) {
  for (int k = 0; k < coarse.active; ++k) {
    const float* same = residual + fine.index(2 * j, 0, k);
    const float* south = residual + fine.index(2 * j - 1, 0, k);
    const float* north = residual + fine.index(2 * j + 1, 0, k);
    for (int c = 0; c < 2; ++c) {
      float* out = rhs + coarse.index(j, c, k);
      const int o = coarse.offset(j, c), n = coarse.count(j, c);
      for (int m = 0; m < n; ++m) {
        const int i = 2 * m + o;
        out[m] = same[i] + 0.25F * (south[i] + south[i - 1] + north[i] + north[i - 1]);
      }
    }
  }
}

void interpolate(const Shape& coarse, const float* x, const Shape& fine, float* out, int j) {
  const int south = j / 2, n = fine.count(j, 0);
  const auto line = [&](int row, int k) {
    return [p = x, &coarse, row, k](int i) {
      return p[coarse.index(row, (i + row) & 1, k) + static_cast<size_t>(i / 2)];
    };
  };
  for (int k = 0; k < fine.active; ++k) {
    float* v = out + fine.index(j, 0, k);
    const auto a = line(south, k);
    if (j % 2 == 0) {
      for (int m = 0; m < n; ++m) v[m] += a(m);
    } else {
      const auto b = line(south + 1, k);
      for (int m = 0; m < n; ++m) v[m] += 0.25F * (a(m) + a(m + 1) + b(m) + b(m + 1));
    }
  }
}

}  // namespace leeward::compute::rows
