//! Sag of shelves: estimates of the library, by published formulas and worked examples.

use super::holds;

const USES: &str =
    "use std.boards (white18, ply18)\nuse std.boxes (shelf_sag, sag_limit)\nlet newton = 1kg / 9.80665N";

#[test]
fn a_shelf_on_two_supports_sags_by_the_handbook() {
    // BEAM-kb-ss_udl: 5/384 W L3 / (E I), W the total load. USDA Forest Products Laboratory, Wood Handbook,
    // FPL-GTR-190 (2010), ch. 9, Eq. 9-2 and Table 9-1 (READ). BEAM-I-rect: I = b h3 / 12; 280 x 18 gives
    // 136080 mm4, the same handbook, Eq. 9-3 (SECONDARY).
    holds(
        USES,
        &[
            "280mm * 18mm * 18mm * 18mm / 12 == 136080mm2 * 1mm2",
            "shelf_sag(100N * newton, 900mm, 280mm, white18) == \
             5 * 100N * 900mm * 900mm * 900mm / (384 * 1600N/mm2 * 136080mm2 * 1mm2)",
        ],
    );
}

#[test]
fn worked_shelves() {
    // SAG-WE-1: 7.88818359375 mm. Closed form; PyNiteFEA 2.0.2, anastruct 1.7.0 and sympy 1.14.0 agree (READ).
    // 180.936 N over 900 mm, 280 x 18, 1600 N/mm2.
    holds(USES, &["shelf_sag(180.936N * newton, 900mm, 280mm, white18) == 7.88818359375mm"]);
    // SAG-WE-6: 3.074801418537283 mm, the same libraries (READ): 60 lb of books on 36 x 10 in of plywood.
    // LOAD-books: a running foot of books weighs about 20 lb. Woodworking magazine archive, shelf article (READ);
    // common practice, no source.
    holds(
        USES,
        &[
            "3 * 20lb == 60lb",
            "shelf_sag(60lb, 36in, 10in, ply18) > 3.07480141853mm",
            "shelf_sag(60lb, 36in, 10in, ply18) < 3.07480141854mm",
        ],
    );
}

#[test]
fn sag_goes_with_the_cube_of_thickness_and_of_length() {
    // STR-78-34: 7/8 in against 3/4 in is 1.588 times as stiff, (7/6)^3; its strength is 1.361, (7/6)^2. Popular
    // Woodworking, article on stronger shelves, corrected (READ; arithmetic). STR-length-caution: a tenth longer
    // under the same total load sags 1.331 times as far. Derived (SECONDARY).
    holds(
        USES,
        &[
            "shelf_sag(10kg, 900mm, 280mm, white18(thickness: 3/4in)) \
             / shelf_sag(10kg, 900mm, 280mm, white18(thickness: 7/8in)) == 343 / 216",
            "shelf_sag(10kg, 990mm, 280mm, white18) / shelf_sag(10kg, 900mm, 280mm, white18) == 1.331",
        ],
    );
}

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
