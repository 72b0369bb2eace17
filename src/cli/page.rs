//! `page`: the folder's parts and jobs in a browser.

use std::process::{Command, Stdio};
use std::sync::Arc;

use qrcode::QrCode;
use qrcode::render::unicode::Dense1x2;
use serde_json::json;

use super::args::{PageArgs, PhoneMay, ShelfArgs};
use super::screen::Screen;
use crate::fault::Outcome;
use crate::page::server::{Options, Rights, Server};

pub(super) fn run(options: &PageArgs, shelf: &ShelfArgs, screen: &Screen) -> Outcome<u8> {
    let server = Server::listen(
        Options {
            folder: options.folder.clone(),
            shelf: shelf.folder.clone(),
            port: options.port,
            phone: options.phone.map(|it| match it {
                PhoneMay::Look => Rights::Look,
                PhoneMay::Edit => Rights::Edit,
            }),
        },
        Arc::new(Screen::aside),
    )?;
    let address = format!("http://{}/", server.address()?);
    let for_phone = server.phone_address();
    screen.result(
        || {
            json!({
                "schema": 1, "address": address, "folder": options.folder.display().to_string(),
                "phone": for_phone,
            })
        },
        || {
            let shown = std::path::absolute(&options.folder).unwrap_or(options.folder.clone());
            let shown = shown.display();
            let mut lines = vec![format!("{address} shows {shown}; Ctrl-C ends it")];
            if let Some(address) = &for_phone {
                lines.extend(code(address));
                lines.push(format!("for one phone, once: {address}"));
            }
            lines.join("\n")
        },
    )?;
    let stopper = server.stopper();
    // Where nobody can listen, Ctrl-C still ends the program at once.
    let _ = ctrlc::set_handler(move || stopper.stop());
    if !options.no_open {
        open(&address);
    }
    server.run()?;
    Ok(0)
}

/// Opens an address in the browser; where none can be opened, the address has been told.
fn open(address: &str) {
    let words: &[&str] = if cfg!(target_os = "windows") {
        &["cmd", "/C", "start", ""]
    } else if cfg!(target_os = "macos") {
        &["open"]
    } else {
        &["xdg-open"]
    };
    let mut command = Command::new(words[0]);
    command.args(&words[1..]).arg(address);
    let quiet = command
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null());
    if quiet.spawn().is_err() {
        Screen::aside("no browser could be opened: open the address above");
    }
}

/// An address for a phone's camera, in the letters of a terminal, dark on light.
fn code(address: &str) -> Option<String> {
    let code = QrCode::new(address).ok()?;
    let mut drawn = code.render::<Dense1x2>();
    drawn
        .dark_color(Dense1x2::Light)
        .light_color(Dense1x2::Dark);
    Some(drawn.build())
}
