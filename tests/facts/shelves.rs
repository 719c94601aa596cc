//! The limit of sag that the library holds shelves to.

use super::holds;

const USES: &str = "use std.boxes (sag_limit)";

#[test]
fn the_limit_of_sag() {
    // KCMA-shelf-defl: at most 1.6 mm per 305 mm between supports; KCMA-shelf-max: at most 6.4 mm. ANSI/KCMA A161.1
    // (500 lb text = edition before 2012), static loading on shelves and bottoms (SECONDARY).
    holds(
        USES,
        &[
            "sag_limit(305mm) == 1.6mm",
            "sag_limit(610mm) == 3.2mm",
            "sag_limit(1220mm) == 6.4mm",
            "sag_limit(2000mm) == 6.4mm",
            // Not stricter than the check the table gives, span / 192, by more than a hundredth.
            "sag_limit(960mm) < 960mm / 190",
            "sag_limit(960mm) > 960mm / 192",
        ],
    );
}
