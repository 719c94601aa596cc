//! A4, its frame, and the scales that a rule can read.

use super::canvas::Area;

/// How the sheet lies.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Paper {
    Portrait,
    Landscape,
}

/// Blank rim, which any office printer leaves, in mm.
const RIM: f64 = 10.0;
/// Height of a row of the title strip.
pub(super) const STRIP_ROW: f64 = 15.0;
/// Between the frame and what stands in it.
const INSET: f64 = 3.2;

impl Paper {
    /// A4: width and height in mm.
    pub fn size(self) -> (f64, f64) {
        match self {
            Paper::Portrait => (210.0, 297.0),
            Paper::Landscape => (297.0, 210.0),
        }
    }

    /// The frame line.
    pub fn frame(self) -> Area {
        let (width, height) = self.size();
        Area::new(RIM, RIM, width - RIM, height - RIM)
    }

    pub(super) fn strip_height(self) -> f64 {
        match self {
            Paper::Portrait => 2.0 * STRIP_ROW,
            Paper::Landscape => STRIP_ROW,
        }
    }

    /// Where drawing, words and tables may stand.
    pub fn field(self) -> Area {
        let mut area = self.frame().grown(-INSET);
        area.y1 = self.frame().y1 - self.strip_height() - INSET;
        area
    }
}

/// How many times smaller than life a sheet is drawn.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Scale(pub u32);

impl Scale {
    /// Largest first. The last three (ISO 5455) are for what no shop makes in one piece.
    pub const ALL: [Scale; 9] =
        [Scale(1), Scale(2), Scale(5), Scale(10), Scale(20), Scale(50), Scale(100), Scale(200), Scale(500)];

    /// Largest first, for a picture that nobody measures from.
    pub const FREE: [Scale; 22] = [
        Scale(1),
        Scale(2),
        Scale(3),
        Scale(4),
        Scale(5),
        Scale(6),
        Scale(7),
        Scale(8),
        Scale(9),
        Scale(10),
        Scale(11),
        Scale(12),
        Scale(14),
        Scale(16),
        Scale(18),
        Scale(20),
        Scale(24),
        Scale(28),
        Scale(34),
        Scale(40),
        Scale(60),
        Scale(100),
    ];

    /// Millimetres on paper for a length in millimetres.
    pub fn paper(self, mm: f64) -> f64 {
        mm / f64::from(self.0)
    }

    /// `1:5`
    pub fn words(self) -> String {
        format!("1:{}", self.0)
    }
}
