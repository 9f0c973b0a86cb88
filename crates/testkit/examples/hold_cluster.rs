//! Holds one private cluster for a whole run of tests: prints an owner's URL for `HOD_TEST_DATABASE_URL` as its
//! only line, then waits until standard input closes or Ctrl-C comes, and takes the cluster away again.

use std::io::{self, Read, Write};

use hod_testkit::cluster::TestCluster;

#[tokio::main]
async fn main() -> io::Result<()> {
    let cluster = TestCluster::start().await;
    writeln!(io::stdout(), "{}", cluster.url())?;
    // A thread, not a task: a read of standard input cannot be cancelled, and nobody should wait for it.
    let (closed, closing) = tokio::sync::oneshot::channel();
    std::thread::spawn(move || closed.send(io::stdin().read_to_end(&mut Vec::new())));
    tokio::select! {
        _ = closing => {}
        interrupted = tokio::signal::ctrl_c() => interrupted?,
    }
    drop(cluster);
    Ok(())
}
