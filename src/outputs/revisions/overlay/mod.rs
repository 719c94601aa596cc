//! Both revisions of a box on one sheet: the new one in full lines, the old one broken, and a table of the parts
//! that change. Old and new are laid with their low corners on each other, so that what has not moved coincides.

mod lines;
mod page;
mod subject;
mod views;
mod wall;
mod words;

use crate::job::Job;
use crate::outputs::drawing::Sheet;
use crate::outputs::elevations::drawn;
use crate::revisions::Comparison;

/// The sheets of a comparison: boxes of the new job in its order, then those that are gone.
pub fn sheets(old: &Job, new: &Job, comparison: &Comparison, names: [&str; 2]) -> Vec<Sheet> {
    let mut sheets = Vec::new();
    each(old, new, comparison, names, &mut |sheet| sheets.push(sheet));
    sheets
}

/// Hands on each sheet as it is made, one or more for each outermost box that differs in more than its place, then
/// one or more for each wall whose rows differ. `names` are what the old and
/// the new revision are called; empty ones are left out.
pub fn each(old: &Job, new: &Job, comparison: &Comparison, names: [&str; 2], take: &mut dyn FnMut(Sheet)) {
    let boxes = [drawn(old), drawn(new)];
    for subject in subject::subjects([old, new], [&boxes[0], &boxes[1]], comparison) {
        page::sheets(&subject, names).into_iter().for_each(&mut *take);
    }
    let made_from = page::made_from(new, names);
    wall::sheets(old, new, comparison, &made_from).into_iter().for_each(take);
}
