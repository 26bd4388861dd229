//! Ports: one on this computer, and one at its address in the local network where that is asked for.

use crate::listen::Trouble;
use std::io;
use std::net::{IpAddr, Ipv4Addr, UdpSocket};
use tokio::net::TcpListener;

/// The port that is taken where none is asked for; the next free one where it is taken.
const USUAL_PORT: u16 = 7272;
/// How many ports are tried.
const TRIED_PORTS: u16 = 20;
/// Opens the port on this computer, and in the local network where that is asked for; never on all
/// interfaces.
pub(crate) async fn open(
    port: Option<u16>,
    lan: Option<IpAddr>,
) -> Result<(TcpListener, Option<TcpListener>, u16), Trouble> {
    let first = port.unwrap_or(USUAL_PORT);
    let last = if port.is_some() { first } else { first + TRIED_PORTS };
    let mut failed = None;
    for port in first..=last {
        match open_at(port, lan).await {
            Ok(opened) => return Ok(opened),
            Err(why) => failed = failed.or(Some(why)),
        }
    }
    Err(Trouble::Port(first, failed.unwrap_or_else(|| io::Error::from(io::ErrorKind::AddrInUse))))
}

async fn open_at(port: u16, lan: Option<IpAddr>) -> io::Result<(TcpListener, Option<TcpListener>, u16)> {
    let here = TcpListener::bind((Ipv4Addr::LOCALHOST, port)).await?;
    let port = here.local_addr()?.port();
    let there = match lan {
        Some(ip) => Some(TcpListener::bind((ip, port)).await?),
        None => None,
    };
    Ok((here, there, port))
}

/// The address of this computer in its local network, as its own routes tell; nothing is sent.
pub(crate) fn lan_address() -> Option<IpAddr> {
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
    // An address for documentation (RFC 5737): connecting a datagram socket only looks up the route.
    socket.connect((Ipv4Addr::new(192, 0, 2, 1), 9)).ok()?;
    let ip = socket.local_addr().ok()?.ip();
    (!ip.is_unspecified() && !ip.is_loopback()).then_some(ip)
}
