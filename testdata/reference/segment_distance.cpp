// Reads lines "kind ax ay az bx by bz cx cy cz dx dy dz", two segments a-b and
// c-d, and writes them as CSV with their distance. CGAL works the squared
// distance out exactly; only its square root and the printing round.
#include <CGAL/Exact_predicates_exact_constructions_kernel.h>
#include <CGAL/squared_distance_3.h>
#include <cmath>
#include <cstdio>
#include <iostream>
#include <string>

using Kernel = CGAL::Exact_predicates_exact_constructions_kernel;
using P = Kernel::Point_3;
using S = Kernel::Segment_3;

// A segment whose ends coincide goes to CGAL as the point it is.
static Kernel::FT squared(const P& a, const P& b, const P& c, const P& d) {
  if (a == b && c == d) return CGAL::squared_distance(a, c);
  if (a == b) return CGAL::squared_distance(a, S(c, d));
  if (c == d) return CGAL::squared_distance(c, S(a, b));
  return CGAL::squared_distance(S(a, b), S(c, d));
}

int main() {
  std::puts("kind,ax,ay,az,bx,by,bz,cx,cy,cz,dx,dy,dz,distance");
  std::string kind;
  while (std::cin >> kind) {
    double v[12];
    for (double& x : v) std::cin >> x;
    Kernel::FT square = squared(P(v[0], v[1], v[2]), P(v[3], v[4], v[5]), P(v[6], v[7], v[8]), P(v[9], v[10], v[11]));
    CGAL::exact(square);  // settles the lazy number before it is rounded
    std::fputs(kind.c_str(), stdout);
    for (double x : v) std::printf(",%.17g", x);
    std::printf(",%.17g\n", std::sqrt(CGAL::to_double(square)));
  }
}
