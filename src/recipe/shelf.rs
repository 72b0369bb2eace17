//! The shelf: where families and tables are looked up by name.
//!
//! In: a name. Out: its text, from a folder of the builder's, the working folder, or what is
//! compiled in, whichever has it first. A family is read once, and again when one of its texts is another.

use std::any::Any;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use super::family::Family;
use super::words::Group;
use crate::brought::BROUGHT;
use crate::fault::{Fault, Outcome, Source, nearest};
use crate::toml_text;
use crate::toml_text::{Text, file};

/// Where families and tables are looked up.
#[derive(Debug, Clone, Default)]
pub struct Shelf {
    folders: Vec<PathBuf>,
    /// The families read so far, by name.
    read: Arc<Mutex<BTreeMap<String, Arc<Family>>>>,
    /// The tables read so far, by name, each with the text it was read from.
    tables: Arc<Mutex<BTreeMap<String, ReadTable>>>,
}

/// The text of a table, and what the room that cuts has read from it.
type ReadTable = (Arc<Source>, Arc<dyn Any + Send + Sync>);

/// What a shelf holds: the folder of its files, and what one is called.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Section {
    Families,
    Tables,
    Shared,
}

impl Section {
    const fn folder(self) -> &'static str {
        match self {
            Self::Families => "families",
            Self::Tables => "tables",
            Self::Shared => "shared",
        }
    }

    const fn word(self) -> &'static str {
        match self {
            Self::Families => "recipe",
            Self::Tables => "table",
            Self::Shared => "shared file",
        }
    }

    /// Whether a file that lies loose in a folder belongs here, by a key that part files of the same
    /// name do not have. A text that is not TOML counts, so that its fault is told.
    fn owns(self, source: &Arc<Source>) -> bool {
        let key = match self {
            Self::Families => "plate",
            Self::Tables => "cut",
            // These lie in their own folder only.
            Self::Shared => return false,
        };
        toml_text::read(source).map_or(true, |table| table.has(key))
    }
}

/// Families by where on a vehicle, or what for, they are: the groups that there are, in their order, in the
/// builder's words.
pub fn grouped(
    families: &[Arc<Family>],
) -> impl Iterator<Item = (&'static str, Vec<&Arc<Family>>)> {
    let groups = Group::ALL.iter().map(move |(group, word)| {
        let of_group = families.iter().filter(|it| it.group == *group);
        (*word, of_group.collect::<Vec<_>>())
    });
    groups.filter(|(_, families)| !families.is_empty())
}

impl Shelf {
    /// The shelf as seen from a working folder, with a folder of the builder's own before it.
    ///
    /// Fails if that folder is not there.
    pub fn open(own: Option<&Path>, working: &Path) -> Outcome<Self> {
        if let Some(own) = own
            && !own.is_dir()
        {
            let fault = Fault::file(format!("there is no folder {}", own.display()));
            return Err(fault
                .remedy("name the folder that holds your recipes")
                .into());
        }
        let folders = own
            .map(Path::to_owned)
            .into_iter()
            .chain([working.to_owned()]);
        Ok(Self {
            folders: folders.collect(),
            ..Self::default()
        })
    }

    /// Only what is compiled in.
    #[must_use]
    pub fn built_in() -> Self {
        Self::default()
    }

    /// Every family there is, read, in the order of their names.
    pub fn families(&self) -> Outcome<Vec<Arc<Family>>> {
        let names = self.names(Section::Families);
        names.iter().map(|name| self.family(name)).collect()
    }

    /// The names of the families there are, sorted.
    #[must_use]
    pub fn family_names(&self) -> Vec<String> {
        self.names(Section::Families)
    }

    /// The names of the tables there are, sorted.
    #[must_use]
    pub fn table_names(&self) -> Vec<String> {
        self.names(Section::Tables)
    }

    /// The family of a name.
    pub fn family(&self, name: &str) -> Outcome<Arc<Family>> {
        let source = self.text(Section::Families, name)?;
        let is_as_read = |family: &&Arc<Family>| {
            let mut shared = family.shared.iter();
            let is_there = |name: &str, text: &Arc<Source>| {
                let found = self.text(Section::Shared, name);
                found.is_ok_and(|it| it == *text)
            };
            family.source == source && shared.all(|(name, text)| is_there(name, text))
        };
        let read = || self.read.lock().unwrap_or_else(PoisonError::into_inner);
        let known = read().get(name).cloned();
        if let Some(family) = known.as_ref().filter(is_as_read) {
            return Ok(Arc::clone(family));
        }
        let family = Arc::new(Family::read_on(self, name, &source)?);
        read().insert(name.to_owned(), Arc::clone(&family));
        Ok(family)
    }

    /// The text of the table settings of a name.
    pub fn table_text(&self, name: &str) -> Outcome<Arc<Source>> {
        self.text(Section::Tables, name)
    }

    /// The table of a name as it is read from its text: once, and again when that is another.
    pub fn table<T: Any + Send + Sync>(
        &self,
        name: &str,
        read: impl FnOnce(&Arc<Source>) -> Outcome<T>,
    ) -> Outcome<Arc<T>> {
        let text = self.table_text(name)?;
        let known = || self.tables.lock().unwrap_or_else(PoisonError::into_inner);
        let as_read = known().get(name).filter(|it| it.0 == text).cloned();
        if let Some(Ok(table)) = as_read.map(|it| it.1.downcast()) {
            return Ok(table);
        }
        let table = Arc::new(read(&text)?);
        known().insert(name.to_owned(), (text, Arc::<T>::clone(&table)));
        Ok(table)
    }

    /// The names of the shared files there are, sorted.
    #[must_use]
    pub fn shared_names(&self) -> Vec<String> {
        self.names(Section::Shared)
    }

    /// The text of the shared file of a name, which a recipe asks for there.
    pub(super) fn shared(&self, asked: &Text) -> Result<Arc<Source>, Vec<Fault>> {
        let placed = |fault: Fault| match fault.place {
            Some(_) => fault,
            None => fault.at(asked.source(), asked.span()),
        };
        let found = self.text(Section::Shared, asked.as_str());
        found.map_err(|faults| faults.into_vec().into_iter().map(placed).collect())
    }

    fn text(&self, section: Section, name: &str) -> Outcome<Arc<Source>> {
        let plain = !name.is_empty() && name.chars().all(is_plain);
        if !plain {
            return Err(self.unknown(section, name).into());
        }
        let file = format!("{name}.toml");
        for folder in &self.folders {
            let path = folder.join(section.folder()).join(&file);
            if path.is_file() {
                return file::read(&path);
            }
            // A part file may have the name of its family: only what has the right keys counts.
            let path = folder.join(&file);
            if path.is_file() {
                let source = file::read(&path)?;
                if section.owns(&source) {
                    return Ok(source);
                }
            }
        }
        let path = format!("{}/{file}", section.folder());
        match BROUGHT.get(&path) {
            Some(text) => Ok(Source::inline(format!("{path} (built in)"), text.as_str())),
            None => Err(self.unknown(section, name).into()),
        }
    }

    fn unknown(&self, section: Section, name: &str) -> Fault {
        let names = self.names(section);
        let fault = Fault::refused(format!("there is no {} \"{name}\"", section.word()));
        // Who writes a path means the file.
        let stem = name.rsplit(['/', '\\']).next().unwrap_or(name);
        let stem = stem.strip_suffix(".toml").unwrap_or(stem);
        if stem != name && names.iter().any(|it| it == stem) {
            return fault.remedy(format!(
                "write its name alone, without folder and ending: \"{stem}\""
            ));
        }
        match nearest(stem, names.iter().map(String::as_str)) {
            Some(near) => fault.remedy(format!("did you mean \"{near}\"?")),
            None => fault.remedy(format!("there are {}", names.join(", "))),
        }
    }

    fn names(&self, section: Section) -> Vec<String> {
        let lies_here = |path: &&String| {
            path.split_once('/')
                .is_some_and(|it| it.0 == section.folder())
        };
        let built_in = BROUGHT.keys().filter(lies_here).map(PathBuf::from);
        let owned = |path: &PathBuf| file::read(path).is_ok_and(|source| section.owns(&source));
        let own = self.folders.iter().flat_map(|folder| {
            let shelved = files_in(&folder.join(section.folder()));
            let loose = files_in(folder)
                .into_iter()
                .filter(|path| is_toml_file(path))
                .filter(owned);
            shelved.into_iter().chain(loose)
        });
        let stem = |path: PathBuf| Some(path.file_stem()?.to_str()?.to_owned());
        let mut names: Vec<String> = built_in
            .chain(own)
            .filter(|path| is_toml_file(path))
            .filter_map(stem)
            .filter(|name| name.chars().all(is_plain))
            .collect();
        names.sort_unstable();
        names.dedup();
        names
    }
}

/// Names stay in their folder: letters, digits, hyphens and underscores only.
fn is_plain(c: char) -> bool {
    c.is_ascii_alphanumeric() || c == '-' || c == '_'
}

fn is_toml_file(path: &Path) -> bool {
    let extension = path.extension();
    extension.is_some_and(|extension| extension == "toml")
}

/// What a folder holds; nothing if it cannot be read.
fn files_in(folder: &Path) -> Vec<PathBuf> {
    let entries = folder.read_dir().into_iter().flatten().flatten();
    entries.map(|entry| entry.path()).collect()
}

/// Families that a job asks for.
pub(super) struct Families<'a> {
    shelf: &'a Shelf,
    /// How deep the job that is read lies in others that take a part of it.
    pub(super) lent: usize,
}

impl<'a> Families<'a> {
    pub(super) fn of(shelf: &'a Shelf) -> Self {
        Self { shelf, lent: 0 }
    }

    /// The family of a name.
    pub(super) fn family(&mut self, name: &str) -> Outcome<Arc<Family>> {
        self.shelf.family(name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_family_that_is_compiled_in_can_be_read() {
        let families = Shelf::built_in()
            .families()
            .unwrap_or_else(|faults| panic!("{faults}"));
        assert!(families.len() >= 6);
        assert!(families.iter().all(|family| !family.about.is_empty()));
    }

    #[test]
    fn a_mistyped_name_gets_the_nearest_and_paths_are_no_names() {
        let shelf = Shelf::built_in();
        let said = shelf.family("hub-adaptor").unwrap_err().to_string();
        assert_eq!(
            said,
            "there is no recipe \"hub-adaptor\"; did you mean \"hub-adapter\"?"
        );
        assert!(shelf.family("../families/flange").is_err());
        assert!(shelf.table_text("").is_err());
    }

    #[test]
    fn a_file_in_the_working_folder_takes_the_place_of_the_built_in_one() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("flange.toml");
        let shelf = Shelf::open(None, folder.path()).unwrap();
        // A part file of the same name is no family.
        std::fs::write(&path, "recipe = \"flange\"\n").unwrap();
        assert_eq!(
            shelf.family("flange").unwrap().title,
            Shelf::built_in().family("flange").unwrap().title
        );
        let own = "title = \"My flange\"\n[dimension.thickness]\nsays = \"thickness\"\ndefault = \"6 mm\"\n\
                   [[plate]]\n[[plate.step]]\nadd = \"disc\"\ndiameter = \"90 mm\"\n";
        std::fs::write(&path, own).unwrap();
        assert_eq!(shelf.family("flange").unwrap().title, "My flange");
    }

    #[test]
    fn a_table_is_read_once_and_again_when_its_text_is_another() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::create_dir(folder.path().join("tables")).unwrap();
        let shelf = Shelf::open(None, folder.path()).unwrap();
        let times = std::cell::Cell::new(0);
        let read = || {
            let table = shelf.table("shop-plasma", |source| {
                times.set(times.get() + 1);
                Ok(source.text.len())
            });
            (*table.unwrap(), times.get())
        };
        let (long, _) = read();
        assert!(long > 1000);
        assert_eq!(read(), (long, 1));
        let own = folder.path().join("tables/shop-plasma.toml");
        std::fs::write(&own, "kerf = 1\n").unwrap();
        assert_eq!(read(), (9, 2));
        // One that cannot be read takes the place of none.
        std::fs::write(&own, "kerf = 2\n").unwrap();
        let refused: Outcome<Arc<usize>> =
            shelf.table("shop-plasma", |_| Err(Fault::refused("no").into()));
        assert!(refused.is_err());
        assert_eq!(read(), (9, 3));
        std::fs::remove_file(&own).unwrap();
        assert_eq!(read(), (long, 4));
    }

    #[test]
    fn a_family_is_read_again_when_one_of_its_texts_is_another() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::create_dir(folder.path().join("shared")).unwrap();
        let shelf = Shelf::open(None, folder.path()).unwrap();
        let read = || shelf.family("disc-adapter").unwrap();
        let first = read();
        assert!(Arc::ptr_eq(&first, &read()));
        let (name, shared) = &first.shared[0];
        let own = folder.path().join(format!("shared/{name}.toml"));
        std::fs::write(&own, shared.text.replace("friction first", "slip first")).unwrap();
        let second = read();
        assert_eq!(second.source, first.source);
        assert_ne!(second.shared, first.shared);
        assert!(Arc::ptr_eq(&second, &read()));
        std::fs::remove_file(&own).unwrap();
        assert_eq!(read().shared, first.shared);
    }
}
