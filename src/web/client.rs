//! Who sends a request, by the address it comes from.

use crate::error::Error;
use crate::state::App;
use axum::extract::{ConnectInfo, FromRequestParts};
use axum::http::HeaderMap;
use axum::http::request::Parts;
use std::net::{IpAddr, Ipv6Addr, SocketAddr};

/// The address a request comes from, as far as we can trust it. For IPv6 it is the /64
/// network, since one customer has a whole one.
#[derive(Debug, Clone)]
pub struct Client(pub String);

impl FromRequestParts<App> for Client {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, Error> {
        let peer = parts.extensions.get::<ConnectInfo<SocketAddr>>().map(|info| info.0.ip());
        let address = forwarded(&parts.headers, app.config.trusted_proxies).or(peer);
        Ok(Self(address.map_or_else(|| "unknown".to_owned(), network)))
    }
}

/// Each trusted proxy adds one address on the right. Anyone may claim what is further
/// left.
fn forwarded(headers: &HeaderMap, proxies: u8) -> Option<IpAddr> {
    let nth = usize::from(proxies).checked_sub(1)?;
    let all: Vec<&str> =
        headers.get_all("x-forwarded-for").iter().filter_map(|v| v.to_str().ok()).flat_map(|v| v.split(',')).collect();
    all.iter().rev().nth(nth)?.trim().parse().ok()
}

fn network(address: IpAddr) -> String {
    match address.to_canonical() {
        IpAddr::V4(four) => four.to_string(),
        IpAddr::V6(six) => {
            let bits = six.to_bits() & (u128::MAX << 64);
            format!("{}/64", Ipv6Addr::from_bits(bits))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_trusted_proxies_are_believed() {
        let mut headers = HeaderMap::new();
        headers.append("x-forwarded-for", "1.1.1.1, 192.0.2.7".parse().unwrap());
        headers.append("x-forwarded-for", "198.51.100.4".parse().unwrap());
        assert_eq!(forwarded(&headers, 0), None);
        assert_eq!(forwarded(&headers, 1), Some("198.51.100.4".parse().unwrap()));
        assert_eq!(forwarded(&headers, 2), Some("192.0.2.7".parse().unwrap()));
        assert_eq!(forwarded(&headers, 9), None);
    }

    #[test]
    fn one_ipv6_network_is_one_client() {
        assert_eq!(network("2001:db8:1:2:3::4".parse().unwrap()), network("2001:db8:1:2:ffff::9".parse().unwrap()));
        assert_eq!(network("::ffff:192.0.2.7".parse().unwrap()), "192.0.2.7");
    }
}
