//! Settles every posture of `data/` and writes `data/settled.json`; names those not accepted.

use kindfold::library::Library;
use kindfold::library::posture::PostureBody;

fn main() -> std::process::ExitCode {
    let library = match Library::built_in() {
        Ok(library) => library,
        Err(problems) => {
            eprintln!("{problems}");
            return 2.into();
        }
    };
    let mut wrong = 0;
    for posture in library.postures.values() {
        if let PostureBody::Shape { settled, .. } = &posture.body
            && !settled.accepted()
        {
            wrong += 1;
            println!("{}: {}", posture.id, settled.reasons.join("; "));
        }
    }
    println!("{} postures, {wrong} not accepted", library.postures.len());
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/data/settled.json");
    match library
        .settled_json()
        .map(|text| std::fs::write(path, text))
    {
        Ok(Ok(())) => 0.into(),
        _ => 3.into(),
    }
}
