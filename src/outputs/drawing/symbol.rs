//! Symbols of holes: the shape tells the diameter, arms a through hole, a broken outline one that is
//! bored in place, a grey double ring one that is bored from the other face.

use super::canvas::Area;

/// Shapes in the order of diameters.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Shape {
    Dot,
    Triangle,
    RingedPoint,
    FilledDiamond,
    Diamond,
    Square,
    FilledTriangle,
    FilledSquare,
    Hexagon,
    Cross,
    TriangleDown,
    FilledTriangleDown,
    BarredRing,
    BarredSquare,
    BarredDiamond,
    CrossedRing,
    CrossedSquare,
    PointedHexagon,
    BarredHexagon,
    CrossedDiamond,
    /// A point in so many rings, for what a job of very many diameters needs.
    Rings(u16),
    /// Bored from the other face; never measured.
    DoubleRing,
    /// The origin of running dimensions.
    Origin,
    /// The end of a leader.
    Point,
}

impl Shape {
    /// For the n-th diameter of a job, ascending; no two look alike.
    pub fn of_diameter(n: usize) -> Shape {
        const SHAPES: [Shape; 20] = [
            Shape::Dot,
            Shape::Triangle,
            Shape::RingedPoint,
            Shape::FilledDiamond,
            Shape::Diamond,
            Shape::Square,
            Shape::FilledTriangle,
            Shape::FilledSquare,
            Shape::Hexagon,
            Shape::Cross,
            Shape::TriangleDown,
            Shape::FilledTriangleDown,
            Shape::BarredRing,
            Shape::BarredSquare,
            Shape::BarredDiamond,
            Shape::CrossedRing,
            Shape::CrossedSquare,
            Shape::PointedHexagon,
            Shape::BarredHexagon,
            Shape::CrossedDiamond,
        ];
        // Three rings are the fewest that look like nothing else.
        let rings = u16::try_from(n.saturating_sub(SHAPES.len())).unwrap_or(u16::MAX).saturating_add(3);
        SHAPES.get(n).copied().unwrap_or(Shape::Rings(rings))
    }

    /// Radius on paper while the true size is smaller, in mm.
    pub fn radius(self) -> f64 {
        match self {
            Shape::Dot => 0.75,
            Shape::RingedPoint | Shape::DoubleRing | Shape::BarredRing | Shape::CrossedRing => 1.0,
            Shape::Rings(n) => 0.4 + 0.5 * f64::from(n),
            Shape::Origin => 1.1,
            Shape::Point => 0.4,
            Shape::Triangle | Shape::FilledTriangle | Shape::TriangleDown | Shape::FilledTriangleDown => 1.1,
            Shape::FilledDiamond | Shape::Diamond | Shape::Square | Shape::FilledSquare => 0.95,
            Shape::BarredSquare | Shape::BarredDiamond | Shape::CrossedSquare | Shape::CrossedDiamond => 1.1,
            Shape::Hexagon | Shape::Cross | Shape::PointedHexagon | Shape::BarredHexagon => 1.0,
        }
    }
}

/// How a hole is to be made.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Making {
    Bench,
    InPlace,
    Otherwise,
}

/// A symbol on paper.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Symbol {
    pub x: f64,
    pub y: f64,
    pub radius: f64,
    pub shape: Shape,
    pub through: bool,
    pub making: Making,
}

impl Symbol {
    /// The box of its ink, arms included.
    pub fn area(&self) -> Area {
        let reach = self.reach();
        Area::new(self.x - reach, self.y - reach, self.x + reach, self.y + reach)
    }

    /// From its centre to its outermost ink.
    pub fn reach(&self) -> f64 {
        self.radius + if self.through && self.shape != Shape::DoubleRing { 0.8 } else { 0.2 }
    }

    /// Corner points of an angular shape, about the centre.
    pub fn corners(&self) -> Vec<(f64, f64)> {
        let (x, y, r) = (self.x, self.y, self.radius);
        match self.shape {
            Shape::Triangle | Shape::FilledTriangle => {
                vec![(x, y - r), (x + 0.866 * r, y + 0.5 * r), (x - 0.866 * r, y + 0.5 * r)]
            }
            Shape::TriangleDown | Shape::FilledTriangleDown => {
                vec![(x, y + r), (x + 0.866 * r, y - 0.5 * r), (x - 0.866 * r, y - 0.5 * r)]
            }
            Shape::FilledDiamond | Shape::Diamond | Shape::BarredDiamond | Shape::CrossedDiamond => {
                vec![(x, y - r), (x + r, y), (x, y + r), (x - r, y)]
            }
            Shape::Square | Shape::FilledSquare | Shape::BarredSquare | Shape::CrossedSquare => {
                let s = 0.85 * r;
                vec![(x - s, y - s), (x + s, y - s), (x + s, y + s), (x - s, y + s)]
            }
            Shape::Hexagon | Shape::PointedHexagon | Shape::BarredHexagon => {
                let h = 0.866 * r;
                let q = r / 2.0;
                vec![(x - q, y - h), (x + q, y - h), (x + r, y), (x + q, y + h), (x - q, y + h), (x - r, y)]
            }
            _ => Vec::new(),
        }
    }

    /// Strokes across it, as steps from the centre.
    pub fn strokes(&self) -> Vec<(f64, f64)> {
        let r = self.radius;
        match self.shape {
            Shape::Cross => vec![(0.8 * r, 0.8 * r), (0.8 * r, -0.8 * r)],
            Shape::BarredRing | Shape::BarredDiamond | Shape::BarredHexagon => vec![(r, 0.0)],
            Shape::BarredSquare => vec![(0.85 * r, 0.0)],
            Shape::CrossedRing => vec![(0.707 * r, 0.707 * r), (0.707 * r, -0.707 * r)],
            Shape::CrossedSquare => vec![(0.85 * r, 0.85 * r), (0.85 * r, -0.85 * r)],
            Shape::CrossedDiamond => vec![(r, 0.0), (0.0, r)],
            _ => Vec::new(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_diameters_look_alike() {
        let shapes: Vec<Shape> = (0..200).map(Shape::of_diameter).collect();
        for (n, shape) in shapes.iter().enumerate() {
            assert!(!shapes[..n].contains(shape), "{shape:?} twice");
            assert!(!matches!(shape, Shape::DoubleRing | Shape::Origin | Shape::Point));
        }
    }
}
