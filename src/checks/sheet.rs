//! Parts that no sheet of their board gives.

use super::Checks;
use super::report::{Faults, because};
use crate::diagnostics::Severity;
use crate::job::Grain;
use crate::values::{Overflow, Rational};

/// `sheet-too-small` for each part whose cut size is more than a sheet of its board less the trim at
/// each end. Grain runs along the sheet's length; a board without grain may be turned.
pub fn check(checks: &Checks, faults: &mut Faults) -> Result<(), Overflow> {
    let house_trim = checks.job.house.lengths.get("trim").map_or(Rational::ZERO, |t| t.0);
    for part in &checks.job.parts {
        let board = checks.job.boards.iter().find(|b| b.name == part.board);
        let Some((board, [sheet_length, sheet_width])) = board.and_then(|b| Some((b, b.sheet?))) else {
            continue;
        };
        let trim = board.trim.map_or(house_trim, |t| t.0);
        let usable = [sheet_length.0.sub(trim.add(trim)?)?, sheet_width.0.sub(trim.add(trim)?)?];
        let cut = [part.cut.length.0, part.cut.width.0];
        let fits = |l: Rational, w: Rational| l <= usable[0] && w <= usable[1];
        let turns = part.grain == Grain::None;
        if fits(cut[0], cut[1]) || (turns && fits(cut[1], cut[0])) {
            continue;
        }
        // Named is the size that is over; where the board may be turned, the longer side rules.
        let (size, most) = match () {
            () if turns && cut[0].max(cut[1]) > usable[0].max(usable[1]) => {
                (cut[0].max(cut[1]), usable[0].max(usable[1]))
            }
            () if turns => (cut[0].min(cut[1]), usable[0].min(usable[1])),
            () if cut[0] > usable[0] => (cut[0], usable[0]),
            () => (cut[1], usable[1]),
        };
        let along = if turns {
            ""
        } else if size == cut[0] {
            " along the grain"
        } else {
            " across the grain"
        };
        let axis = if size == cut[0] { 0 } else { 1 };
        let (name, board) = (part.name(), &board.name);
        let (said, most_said) = (checks.length(size), checks.length(most));
        let sheet = checks.sizes(&[sheet_length.0, sheet_width.0]);
        let trimmed = if trim.is_zero() {
            String::new()
        } else {
            format!(" after {} trim at each end", checks.length(trim))
        };
        let message = format!(
            "`{name}` is cut {said}{along}; a {sheet} sheet of `{board}` gives {most_said}{trimmed}."
        );
        let label = format!("`{name}` is placed here");
        let mut fault = checks.fault("sheet-too-small", Severity::Error, message, part.origin, &label);
        let on = part.axes.get(axis).copied();
        for (range_axis, origin) in crate::geometry::Axis::ALL.into_iter().zip(part.range_origins) {
            if Some(range_axis) == on {
                fault = because(fault, checks.trace, origin);
            }
        }
        // Where the board may be turned it may fit the other way round.
        let other = if turns { cut } else { [Rational::ZERO; 2] };
        for (size, most) in
            [(cut[0], usable[0]), (cut[1], usable[1]), (other[0], usable[1]), (other[1], usable[0])]
        {
            fault.misses.push(size.sub(most)?.max(Rational::ZERO));
        }
        let over = checks.length(size.sub(most)?);
        fault = fault.help(format!("At most {most_said}: make it {over} less, or in two pieces."));
        fault.boxes = vec![part.box_path.clone()];
        faults.add(fault);
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::super::testing::{Bench, cuboid, mm, only};
    use crate::job::{Grain, Mm};

    fn panel(length: i64, width: i64) -> Bench {
        let mut b = Bench::new("b");
        b.job.boxes[0].place = cuboid([0, 0, 0], [5000, 5000, 5000]);
        b.part("side", [0, 0, 0], [length, width, 18]);
        b
    }

    #[test]
    fn the_sheet_less_its_trim_is_the_limit() {
        // 2800 × 2070 with 10 off each end.
        assert!(panel(2780, 2050).codes().is_empty());
        let fault = only(panel(2781, 2050).run(), "sheet-too-small");
        assert_eq!(
            fault.message,
            "`side` is cut 2781mm along the grain; a 2800 × 2070mm sheet of `panel18` gives 2780mm after 10mm \
             trim at each end."
        );
        assert_eq!(fault.help, ["At most 2780mm: make it 1mm less, or in two pieces."]);
        assert!(only(panel(2780, 2051).run(), "sheet-too-small").message.contains("2051mm across the grain"));
    }

    #[test]
    fn grain_is_counted_and_without_it_the_part_may_be_turned() {
        let mut b = panel(2700, 1000);
        let turned = b.get("side");
        turned.cut.length = Mm(mm(1000));
        turned.cut.width = Mm(mm(2700));
        assert!(only(b.run(), "sheet-too-small").message.contains("2700mm across the grain"));
        b.get("side").grain = Grain::None;
        assert!(b.codes().is_empty());
    }

    #[test]
    fn a_board_without_a_sheet_has_no_limit() {
        let mut b = panel(4000, 100);
        b.job.boards[0].sheet = None;
        assert!(b.codes().is_empty());
    }
}
