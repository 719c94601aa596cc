//! Plans made from the job: data of their own, which outputs read.

pub mod assembly;
