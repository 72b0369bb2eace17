//! The server: routes, and what they need of the folder, the clock and threads. It answers nothing itself.

mod disk;
mod events;
mod guard;
mod phone;
mod reply;
mod routes;
mod watch;
mod work;
mod workers;

use std::net::{Ipv4Addr, SocketAddr, TcpListener};
use std::path::PathBuf;
use std::sync::{Arc, Mutex};

use rayon::ThreadPool;
use tokio::sync::Notify;

use crate::export::remove_left_over;
use crate::fault::{Fault, Outcome};
use crate::recipe::Shelf;
use disk::Undo;
use events::Events;
pub use guard::Rights;
use guard::Rules;
use phone::Phone;
use work::Work;

/// Where the page is served from.
#[derive(Debug, Clone)]
pub struct Options {
    /// The folder.
    pub folder: PathBuf,
    /// A folder with recipes and tables of the builder's own.
    pub shelf: Option<PathBuf>,
    /// The port; 0 for any that is free.
    pub port: u16,
    /// What a phone in the local network may do, if one may come.
    pub phone: Option<Rights>,
}

/// Says something to whoever started the program.
pub type Say = Arc<dyn Fn(&str) + Send + Sync>;

/// What requests share. The folder's files are the state; here is only what goes with the program.
struct Desk {
    folder: PathBuf,
    shelf: Shelf,
    rules: Rules,
    phone: Option<Phone>,
    undo: Mutex<Undo>,
    events: Events,
    work: Mutex<Option<Work>>,
    workers: ThreadPool,
    /// Held while files are put in place.
    writing: Mutex<()>,
    say: Say,
}

/// A server that listens, and is not yet answering.
pub struct Server {
    listener: TcpListener,
    desk: Arc<Desk>,
    stop: Arc<Notify>,
    /// Where a phone reaches it.
    for_phone: Option<SocketAddr>,
}

/// What ends a server from another thread.
#[derive(Clone)]
pub struct Stop(Arc<Notify>);

impl Stop {
    /// Ends it.
    pub fn stop(&self) {
        self.0.notify_one();
    }
}

impl Server {
    /// Listens on this machine alone, or in its network where a phone may come. What is refused is told to `say`.
    pub fn listen(options: Options, say: Say) -> Outcome<Self> {
        if !options.folder.is_dir() {
            let message = format!("there is no folder {}", options.folder.display());
            return Err(Fault::file(message)
                .remedy("name the folder that holds your parts, or make it first")
                .into());
        }
        remove_left_over(&options.folder);
        let shelf = Shelf::open(options.shelf.as_deref(), &options.folder)?;
        let unheard = |error: std::io::Error| {
            Fault::file(format!("cannot listen on port {}: {error}", options.port))
                .remedy("give another --port, or none for any that is free")
        };
        // A phone is no part of this machine.
        let on = match options.phone {
            Some(_) => Ipv4Addr::UNSPECIFIED,
            None => Ipv4Addr::LOCALHOST,
        };
        let listener = TcpListener::bind((on, options.port)).map_err(unheard)?;
        listener.set_nonblocking(true).map_err(unheard)?;
        let address = listener.local_addr().map_err(unheard)?;
        let port = address.port();
        let for_phone = options
            .phone
            .map(|_| phone::own_address(port))
            .transpose()?;
        let without_threads = |error| {
            Fault::file(format!("the page has no threads to work on: {error}"))
                .remedy("end other programs, and start it again")
        };
        let workers = workers::workers().map_err(without_threads)?;
        let rules = Rules::of(port);
        let rules = match for_phone {
            Some(address) => rules.and(address.to_string()),
            None => rules,
        };
        Ok(Self {
            listener,
            for_phone,
            desk: Arc::new(Desk {
                folder: options.folder,
                shelf,
                rules,
                phone: options.phone.map(Phone::new),
                undo: Mutex::default(),
                events: Events::default(),
                work: Mutex::default(),
                workers,
                writing: Mutex::default(),
                say,
            }),
            stop: Arc::default(),
        })
    }

    /// Where it listens on this machine.
    pub fn address(&self) -> Outcome<SocketAddr> {
        let address = self.listener.local_addr();
        let address =
            address.map_err(|error| Fault::file(format!("it listens nowhere: {error}")))?;
        Ok((Ipv4Addr::LOCALHOST, address.port()).into())
    }

    /// The address that lets in a phone, once.
    #[must_use]
    pub fn phone_address(&self) -> Option<String> {
        let word = self.desk.phone.as_ref()?.word()?;
        Some(format!("http://{}/enter/{word}", self.for_phone?))
    }

    /// What ends it.
    #[must_use]
    pub fn stopper(&self) -> Stop {
        Stop(Arc::clone(&self.stop))
    }

    /// Answers until it is ended. Files that are being put in place are put there first.
    pub fn run(self) -> Outcome<()> {
        let cannot =
            |error: std::io::Error| Fault::file(format!("the page cannot be served: {error}"));
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(2)
            .max_blocking_threads(BLOCKING)
            .enable_all()
            .build()
            .map_err(cannot)?;
        let watching = watch::start(&self.desk);
        let desk = Arc::clone(&self.desk);
        let served = runtime.block_on(async {
            let listener = tokio::net::TcpListener::from_std(self.listener).map_err(cannot)?;
            let serving = tokio::spawn(async move {
                let routes = routes::routes(desk);
                let known = routes.into_make_service_with_connect_info::<SocketAddr>();
                axum::serve(listener, known).await
            });
            self.stop.notified().await;
            serving.abort();
            Ok::<(), Fault>(())
        });
        drop(watching);
        work::stop(&self.desk);
        let _nothing_is_half_written = self.desk.writing.lock();
        runtime.shutdown_background();
        Ok(served?)
    }
}

/// Answers that are worked out at the same time; others wait for their turn.
const BLOCKING: usize = 8;
