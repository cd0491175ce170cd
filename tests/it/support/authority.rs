//! Who signs certificates here. Nobody else in the world trusts it.

use rcgen::{BasicConstraints, CertificateParams, DnType, IsCa, Issuer, KeyPair, date_time_ymd};
use std::sync::Arc;
use tokio_rustls::TlsAcceptor;
use tokio_rustls::rustls::ServerConfig;
use tokio_rustls::rustls::pki_types::PrivateKeyDer;

pub struct Authority {
    issuer: Issuer<'static, KeyPair>,
    /// Its own certificate, as a file of those that are trusted holds it.
    pub pem: String,
}

impl Authority {
    /// One of that name.
    pub fn named(name: &str) -> Self {
        let mut params = CertificateParams::new(Vec::new()).unwrap();
        params.distinguished_name.push(DnType::CommonName, name);
        params.is_ca = IsCa::Ca(BasicConstraints::Unconstrained);
        let key = KeyPair::generate().unwrap();
        let pem = params.self_signed(&key).unwrap().pem();
        Self { issuer: Issuer::new(params, key), pem }
    }

    /// A server of that name or address, as it shows itself.
    pub fn server(&self, name: &str) -> TlsAcceptor {
        self.sign(&CertificateParams::new([name.to_owned()]).unwrap())
    }

    /// The same, whose certificate nobody renewed.
    pub fn expired_server(&self, name: &str) -> TlsAcceptor {
        let mut params = CertificateParams::new([name.to_owned()]).unwrap();
        params.not_before = date_time_ymd(2020, 1, 1);
        params.not_after = date_time_ymd(2021, 1, 1);
        self.sign(&params)
    }

    fn sign(&self, params: &CertificateParams) -> TlsAcceptor {
        let key = KeyPair::generate().unwrap();
        let certificate = params.signed_by(&key, &self.issuer).unwrap();
        let key = PrivateKeyDer::try_from(key.serialize_der()).unwrap();
        let config = ServerConfig::builder().with_no_client_auth();
        let config = config.with_single_cert(vec![certificate.der().clone()], key).unwrap();
        TlsAcceptor::from(Arc::new(config))
    }
}
