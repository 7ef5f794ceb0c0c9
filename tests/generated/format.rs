//! The reference of the format.

use clampmark::catalogue::Catalogue;
use clampmark::report::reference;

#[test]
fn the_page_of_the_format() {
    let catalogue = Catalogue::standard();
    let page = reference::markdown(catalogue);
    for (_, measure) in catalogue.rows() {
        assert!(page.contains(&format!("| `{}` |", measure.path)), "{} has no line", measure.path);
    }
    super::golden("generated/format.md", &page);
}
