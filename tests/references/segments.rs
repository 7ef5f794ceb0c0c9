//! Distances between segments.
//!
//! Source of the table: scipy 1.17.1, `scipy.optimize.lsq_linear` (bounded least squares) with all end points
//! as further candidates, cross-checked there by L-BFGS-B from five starting points.

use clampmark::geometry::{Segment, Vector};

type Ends = [[f64; 3]; 2];

fn segment(ends: Ends) -> Segment {
    let [start, end] = ends.map(|[x, y, z]| Vector::new(x, y, z));
    Segment::new(start, end)
}

/// Name, first segment, second segment, distance, and the nearest places where they are unique.
type Row = (&'static str, Ends, Ends, f64, Option<f64>, Option<f64>);

#[rustfmt::skip] // one row a line reads as the table that it is
#[expect(clippy::approx_constant, reason = "the table's own digits")]
const TABLE: [Row; 18] = [
    ("crossing", [[-1.,0.,0.],[1.,0.,0.]], [[0.,-1.,0.],[0.,1.,0.]], 0.0, Some(0.5), Some(0.5)),
    ("skew, perpendicular", [[-1.,0.,0.],[1.,0.,0.]], [[0.,-1.,1.],[0.,1.,1.]], 1.0, Some(0.5), Some(0.5)),
    ("T", [[0.,0.,0.],[4.,0.,0.]], [[2.,1.,0.],[2.,5.,0.]], 1.0, Some(0.5), Some(0.0)),
    ("closest at ends", [[0.,0.,0.],[1.,0.,0.]], [[2.,1.,0.],[2.,3.,1.]], 1.414_213_562_37, Some(1.0), Some(0.0)),
    ("oblique, inside", [[0.,0.,0.],[10.,0.,0.]], [[3.,-4.,2.],[7.,4.,5.]], 3.277_152_121_49, Some(0.442_466), Some(0.356_164)),
    ("generic", [[1.,2.,3.],[4.,6.,8.]], [[2.,-1.,5.],[7.,3.,1.]], 3.120_224_456_6, Some(0.081_348_5), Some(0.278_857)),
    ("lever-size, mm", [[0.,0.,0.],[90.,0.,0.]], [[40.,25.,30.],[120.,60.,-20.]], 37.684_668_343_9, Some(0.593_587), Some(0.167_785)),
    ("parallel, overlapping", [[0.,0.,0.],[2.,0.,0.]], [[1.,1.,0.],[3.,1.,0.]], 1.0, None, None),
    ("parallel, disjoint", [[0.,0.,0.],[1.,0.,0.]], [[3.,4.,0.],[5.,4.,0.]], 4.472_135_955, Some(1.0), Some(0.0)),
    ("anti-parallel", [[0.,0.,0.],[2.,0.,0.]], [[5.,0.,3.],[3.,0.,3.]], 3.162_277_660_17, Some(1.0), Some(1.0)),
    ("nearly parallel", [[0.,0.,0.],[1.,0.,0.]], [[0.,1.,0.],[1.,1.000_000_001,0.]], 1.0, None, None),
    ("collinear, disjoint", [[0.,0.,0.],[1.,0.,0.]], [[3.,0.,0.],[4.,0.,0.]], 2.0, Some(1.0), Some(0.0)),
    ("collinear, overlapping", [[0.,0.,0.],[2.,0.,0.]], [[1.,0.,0.],[3.,0.,0.]], 0.0, None, None),
    ("touching ends", [[0.,0.,0.],[1.,0.,0.]], [[1.,0.,0.],[2.,0.,0.]], 0.0, Some(1.0), Some(0.0)),
    ("point and inside", [[1.,2.,2.],[1.,2.,2.]], [[0.,0.,0.],[3.,0.,0.]], 2.828_427_124_75, None, Some(1.0 / 3.0)),
    ("point and end", [[-3.,0.,4.],[-3.,0.,4.]], [[0.,0.,0.],[3.,0.,0.]], 5.0, None, Some(0.0)),
    ("two points", [[0.,0.,0.],[0.,0.,0.]], [[1.,2.,2.],[1.,2.,2.]], 3.0, None, None),
    ("identical", [[0.,0.,0.],[1.,1.,1.]], [[0.,0.,0.],[1.,1.,1.]], 0.0, None, None),
];

fn assert_place(name: &str, actual: f64, expected: Option<f64>) {
    if let Some(expected) = expected {
        assert!((actual - expected).abs() < 1e-6, "{name}: at {actual}, not {expected}");
    }
}

#[test]
fn distances_between_segments() {
    for (name, first, second, distance, on_first, on_second) in TABLE {
        let found = segment(first).distance_between(&segment(second));
        assert!((found.distance - distance).abs() < 1e-10, "{name}: {} is not {distance}", found.distance);
        assert_place(name, found.on_first, on_first);
        assert_place(name, found.on_second, on_second);
    }
}

#[test]
fn the_order_and_the_sense_do_not_matter() {
    for (name, first, second, distance, ..) in TABLE {
        let [a, b] = first;
        let [c, d] = second;
        for (one, other) in [([a, b], [d, c]), ([b, a], [c, d]), ([c, d], [a, b]), ([d, c], [b, a])] {
            let found = segment(one).distance_between(&segment(other));
            assert!(
                (found.distance - distance).abs() < 1e-10,
                "{name}: {} is not {distance}",
                found.distance
            );
        }
    }
}

#[test]
fn a_point_and_a_segment() {
    // The degenerate rows of the same table, asked of the point's own function.
    let points = |row: &Row| matches!(row.0, "point and inside" | "point and end" | "two points");
    for (name, first, second, distance, ..) in TABLE.into_iter().filter(points) {
        let found = segment(second).distance_to(segment(first).start);
        assert!((found - distance).abs() < 1e-10, "{name}: {found} is not {distance}");
    }
}
