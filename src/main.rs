//! The program: hands the command line to the library and exits with its status.
use clampmark::*;
fn main() {
    let b = std::fs::read(std::env::args().nth(1).unwrap()).unwrap();
    let c = catalogue::Catalogue::standard();
    let r = setup::read::read(c, &b, None);
    for f in &r.findings { println!("{:?} {} | {} {:?}", f.code.name, f.message, f.help, f.span); }
    let s = r.setup.unwrap();
    let st = geometry::state::State::recorded(c, &s);
    let (p, ids, _) = st.propagate(&geometry::derived::All);
    println!("{} inputs", ids.len());
    for (d, o) in geometry::derived::DERIVED.iter().zip(&p.outputs) {
        match o { Some(o) => println!("{:24} {:10.3} ± {:.3} {}", d.name, o.value, o.expanded_uncertainty(), o.rough), None => println!("{} {:?}", d.name, d.missing(&st).iter().map(|i| c.path(i)).collect::<Vec<_>>()) }
    }
}
