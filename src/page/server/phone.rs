//! A phone at the table: let in once, by an address that nobody can guess, and known by a cookie from then on.

use std::net::{IpAddr, Ipv4Addr, SocketAddr, UdpSocket};
use std::sync::Mutex;

use super::guard::Rights;
use crate::fault::{Fault, Outcome};

/// The cookie that a phone is known by.
const COOKIE: &str = "at-the-bench";

/// A phone that may come, or has come.
pub(super) struct Phone {
    pub(super) rights: Rights,
    /// The word of the address, until it has been used.
    word: Mutex<Option<String>>,
    /// What its cookie says.
    known: String,
}

impl Phone {
    /// A phone that has not come yet.
    pub(super) fn new(rights: Rights) -> Self {
        Self {
            rights,
            word: Mutex::new(Some(secret())),
            known: secret(),
        }
    }

    /// The word of its address, while that has not been used.
    pub(super) fn word(&self) -> Option<String> {
        self.word.lock().ok()?.clone()
    }

    /// Lets in whoever has the word, once: gives the cookie to be known by.
    pub(super) fn enter(&self, word: &str) -> Option<String> {
        let mut wanted = self.word.lock().ok()?;
        if wanted.as_deref() != Some(word) {
            return None;
        }
        *wanted = None;
        let known = &self.known;
        Some(format!("{COOKIE}={known}; Path=/; HttpOnly; SameSite=Lax"))
    }

    /// Whether the cookies of a request are those of the phone.
    pub(super) fn is_known(&self, cookies: &str) -> bool {
        let mut each = cookies
            .split(';')
            .filter_map(|it| it.trim().split_once('='));
        each.any(|(name, value)| name == COOKIE && value == self.known)
    }
}

/// 256 random bits.
fn secret() -> String {
    format!(
        "{:032x}{:032x}",
        rand::random::<u128>(),
        rand::random::<u128>()
    )
}

/// The address of this machine in the local network.
pub(super) fn own_address(port: u16) -> Outcome<SocketAddr> {
    // An address for documentation (RFC 5737): nothing is sent, only the way there is looked up.
    let far = (Ipv4Addr::new(192, 0, 2, 1), 9);
    let looked_up = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).and_then(|socket| {
        socket.connect(far)?;
        socket.local_addr()
    });
    let found = looked_up.ok().map(|it| it.ip());
    let found = found.filter(|it: &IpAddr| !it.is_unspecified());
    let address = found.map(|ip| SocketAddr::new(ip, port));
    let nowhere = || {
        Fault::file("this machine is in no network that a phone could reach it by")
            .remedy("join the network of the workshop, or leave out --phone")
    };
    Ok(address.ok_or_else(nowhere)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_address_lets_in_one_phone_and_nobody_after_it() {
        let phone = Phone::new(Rights::Look);
        let word = phone.word().expect("a word");
        assert!(word.len() == 64 && phone.enter("guessed").is_none());
        let cookie = phone.enter(&word).expect("a cookie");
        let cookie = cookie.split(';').next().expect("its value");
        assert!(phone.is_known(&format!("other=1; {cookie}")));
        assert!(!phone.is_known("") && !phone.is_known("at-the-bench="));
        assert!(phone.enter(&word).is_none() && phone.word().is_none());
        assert!(!Phone::new(Rights::Look).is_known(cookie));
    }
}
