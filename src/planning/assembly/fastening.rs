//! What holds two parts, and what is set on one, with the figures that the job has for it.

use super::steps::Desk;
use crate::geometry::Face;
use crate::job::{At, Bored, Job, Part};
use crate::values::Mm;

/// How two parts are held: one fix of the job for each of the equal boxes.
#[derive(Clone, Debug)]
pub struct Fastening {
    /// Indices into the job's fixes.
    pub fixes: Vec<usize>,
    /// The parts, as indices into the job's; none where an end is a wall.
    pub a: Option<usize>,
    pub b: Option<usize>,
    /// The wall or obstacle it is held to, where it is.
    pub wall: Option<String>,
    /// The item and how many of it.
    pub with: Option<(String, Option<u64>)>,
    /// The face it is driven from, and the part that it belongs to.
    pub from: Option<(usize, Face)>,
    pub tool: Option<String>,
    pub glue: bool,
    /// Pins that hold the two until then, with their places on the face.
    pub tack: Option<(String, Vec<At>)>,
    /// What is bored once they are together.
    pub bores: Option<Bores>,
}

impl Fastening {
    /// Whether something is done before it is driven.
    pub fn in_two_steps(&self) -> bool {
        self.tack.is_some() || self.bores.is_some()
    }
}

/// Holes bored in place.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Bores {
    /// The part they go into.
    pub part: usize,
    pub count: usize,
    pub dia: Mm,
    pub depth: Mm,
}

/// Hardware set on a face: one mount of the job for each of the equal boxes.
#[derive(Clone, Debug)]
pub struct Mounting {
    pub mounts: Vec<usize>,
    pub on: usize,
    pub face: Face,
    pub item: String,
    pub with: Option<(String, Option<u64>)>,
    pub tool: Option<String>,
    /// Holes bored for it on the bench: how many.
    pub holes: usize,
}

/// The fix `n` of the job.
pub fn fastening(desk: &Desk, n: usize) -> Option<Fastening> {
    let job = desk.job;
    let fix = job.fixes.get(n)?;
    let (a, b) = (desk.part(&fix.a), desk.part(&fix.b));
    let wall = match (a, b) {
        (None, _) => Some(fix.a.clone()),
        (_, None) => Some(fix.b.clone()),
        _ => None,
    };
    let from = fix.from.zip(fix.through.as_deref().and_then(|p| desk.part(p))).map(|(f, p)| (p, f));
    let with = fix.with.as_ref().map(|item| {
        let fixes = || job.fixes.iter().filter(|f| f.joint == fix.joint && f.with.as_ref() == Some(item));
        let count = fix.count.or_else(|| {
            let bought = bought(job, item, &fix.joint)?;
            let several = fixes().count() as u64;
            (several > 0 && bought % several == 0).then(|| bought / several)
        });
        (item.clone(), count)
    });
    let bores = [a, b].into_iter().flatten().find_map(|p| bores(job, p, &fix.joint));
    Some(Fastening {
        fixes: vec![n],
        a,
        b,
        wall,
        with,
        from,
        tool: fix.tool.clone(),
        glue: fix.glue,
        tack: fix.tack.as_ref().map(|t| (t.with.clone(), t.at.clone())),
        bores,
    })
}

/// How many of an item a joint buys.
fn bought(job: &Job, item: &str, joint: &str) -> Option<u64> {
    let entry = job.items.iter().find(|i| i.name == item)?;
    entry.uses.iter().find(|u| u.path == joint).map(|u| u.quantity)
}

fn bores(job: &Job, p: usize, joint: &str) -> Option<Bores> {
    let part = job.parts.get(p)?;
    let mut holes =
        part.holes.iter().filter(|h| h.bored == Bored::InPlace && h.joints.iter().any(|j| j == joint));
    let first = holes.next()?;
    let same = holes.clone().all(|h| h.dia == first.dia && h.depth == first.depth);
    let depth = if same { first.depth } else { holes.clone().map(|h| h.depth).fold(first.depth, Mm::min) };
    Some(Bores { part: p, count: 1 + holes.count(), dia: first.dia, depth })
}

/// The mount `n` of the job.
pub fn mounting(desk: &Desk, n: usize) -> Option<Mounting> {
    let mount = desk.job.mounts.get(n)?;
    let on = desk.part(&mount.on)?;
    let here = |part: &Part| {
        let own = part.holes.iter().filter(|h| h.face == mount.face && h.bored == Bored::Bench);
        own.filter(|h| h.joints.contains(&mount.joint)).count()
    };
    Some(Mounting {
        mounts: vec![n],
        on,
        face: mount.face,
        item: mount.item.clone(),
        with: mount
            .with
            .as_ref()
            .map(|w| (w.clone(), mount.count.or_else(|| bought(desk.job, w, &mount.joint)))),
        tool: mount.tool.clone(),
        holes: desk.job.parts.get(on).map_or(0, here),
    })
}
