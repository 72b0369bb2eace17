//! Reading a text file that the builder named.

use std::fs;
use std::io::Read as _;
use std::path::Path;
use std::sync::Arc;

use crate::fault::{Fault, Outcome, Source};

/// Bytes of one recipe, job or table file.
pub const FILE_BYTES: u64 = 1 << 20;

/// The text of a file, up to [`FILE_BYTES`].
pub fn read(path: &Path) -> Outcome<Arc<Source>> {
    read_up_to(path, FILE_BYTES)
}

/// The text of a file, up to so many bytes.
pub fn read_up_to(path: &Path, most: u64) -> Outcome<Arc<Source>> {
    let name = path.display().to_string();
    let mut bytes = Vec::new();
    fs::File::open(path)
        .and_then(|file| file.take(most + 1).read_to_end(&mut bytes))
        .map_err(|error| unreadable(&name, &error))?;
    if bytes.len() as u64 > most {
        let message = format!("{name} is larger than {} KiB", most / 1024);
        return Err(Fault::file(message).remedy("name a smaller file").into());
    }
    let text = String::from_utf8(bytes).map_err(|_| {
        Fault::file(format!("{name} is not a text file"))
            .remedy("save it as plain text (UTF-8), or name another file")
    })?;
    Ok(Arc::new(Source {
        name,
        text: text.into(),
        path: Some(path.to_owned()),
    }))
}

fn unreadable(name: &str, error: &std::io::Error) -> Fault {
    match error.kind() {
        std::io::ErrorKind::NotFound => {
            Fault::file(format!("there is no file {name}")).remedy("check the name and the folder")
        }
        std::io::ErrorKind::IsADirectory => {
            Fault::file(format!("cannot read {name}: it is a folder")).remedy("name a file in it")
        }
        _ => Fault::file(format!("cannot read {name}: {error}"))
            .remedy("name a file that you may read"),
    }
}
