//! Events for the windows that are open: what changed, and how far the work is.

use std::convert::Infallible;
use std::pin::Pin;
use std::sync::Mutex;
use std::task::{Context, Poll};

use axum::response::sse::Event;
use futures_core::Stream;
use tokio::sync::mpsc::{Receiver, Sender, channel};

/// So many events wait for a window that does not listen; then it is forgotten, and asks anew.
const WAITING: usize = 64;

/// The windows.
#[derive(Default)]
pub(super) struct Events(Mutex<Vec<Sender<Event>>>);

/// The events of one window.
pub(super) struct Heard(Receiver<Event>);

impl Events {
    /// One more window.
    pub(super) fn listen(&self) -> Heard {
        let (sender, receiver) = channel(WAITING);
        if let Ok(mut windows) = self.0.lock() {
            windows.retain(|it| !it.is_closed());
            windows.push(sender);
        }
        Heard(receiver)
    }

    /// Tells every window.
    pub(super) fn tell(&self, name: &str, data: &str) {
        if let Ok(mut windows) = self.0.lock() {
            windows.retain(|it| it.try_send(Event::default().event(name).data(data)).is_ok());
        }
    }
}

impl Stream for Heard {
    type Item = Result<Event, Infallible>;

    fn poll_next(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<Option<Self::Item>> {
        self.0.poll_recv(context).map(|it| it.map(Ok))
    }
}
