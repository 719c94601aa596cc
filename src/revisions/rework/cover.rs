//! What of a block is left where other blocks are taken away.

use crate::revisions::piece::{Block, ROUNDING, Tick};

/// The rest of a block outside `covers`, each of which is first grown by `grow` on every side. Slivers that
/// rounding alone may leave do not count.
pub(super) fn leftover(block: &Block, covers: impl Iterator<Item = Block>, grow: Tick) -> Vec<Block> {
    let mut rest = vec![*block];
    for cover in covers {
        let cover = Block { lo: cover.lo.map(|c| c - grow), hi: cover.hi.map(|c| c + grow) };
        if rest.iter().any(|r| r.common(&cover, 0).is_some()) {
            rest = rest.iter().flat_map(|r| without(r, &cover)).collect();
        }
    }
    rest
}

/// A block without another: at most six blocks.
fn without(block: &Block, cover: &Block) -> Vec<Block> {
    let Some(common) = block.common(cover, 0) else { return vec![*block] };
    let mut pieces = Vec::new();
    let mut rest = *block;
    let mut keep = |piece: Block| {
        if piece.size().iter().all(|s| *s > ROUNDING) {
            pieces.push(piece);
        }
    };
    for i in 0..3 {
        let mut low = rest;
        low.hi[i] = common.lo[i];
        keep(low);
        let mut high = rest;
        high.lo[i] = common.hi[i];
        keep(high);
        (rest.lo[i], rest.hi[i]) = (common.lo[i], common.hi[i]);
    }
    pieces
}

/// The least size of the block that is largest in this respect: how far something reaches out.
pub(super) fn reach(rest: &[Block]) -> Tick {
    rest.iter().map(|b| b.size().into_iter().min().unwrap_or(0)).max().unwrap_or(0)
}
