//! Jobs: get, list, create, update and delete.

use hod_wire::v1::job_service_server::JobService;
use hod_wire::v1::{
    CreateJobRequest, DeleteJobRequest, GetJobRequest, Job, ListJobsRequest, ListJobsResponse,
    UpdateJobRequest,
};
use tonic::Request;

use super::{Answer, Api, answer, how, open, page};
use crate::app::{self, Creation};
use crate::decode::Decoder;
use crate::name::{Collection, Jobs, Sites};

#[tonic::async_trait]
impl JobService for Api {
    async fn get_job(&self, request: Request<GetJobRequest>) -> Answer<Job> {
        let (call, request) = open(request)?;
        answer(app::get::<Jobs>(&self.app, &call, &request.name).await?)
    }

    async fn list_jobs(&self, request: Request<ListJobsRequest>) -> Answer<ListJobsResponse> {
        let (call, mut request) = open(request)?;
        let mut decoder = Decoder::new();
        let page = page(&mut decoder, "JobService/ListJobs", &mut request);
        let site = decoder.name_if_any::<Sites>("site", &request.site);
        let (jobs, next_page_token) =
            app::list::<Jobs>(&self.app, &call, decoder, page, site).await?;
        answer(ListJobsResponse {
            jobs,
            next_page_token,
        })
    }

    async fn create_job(&self, request: Request<CreateJobRequest>) -> Answer<Job> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let creation = Creation {
            act: how(&mut decoder, "JobService/CreateJob", &request),
            key: decoder.read("job_id", "NOT_AN_ID", Jobs::id(&request.job_id)),
            wire: request.job.as_ref(),
        };
        answer(app::create::<Jobs>(&self.app, &call, decoder, creation).await?)
    }

    async fn update_job(&self, request: Request<UpdateJobRequest>) -> Answer<Job> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let how = how(&mut decoder, "JobService/UpdateJob", &request);
        let (job, mask) = (request.job, request.update_mask);
        answer(app::update::<Jobs>(&self.app, &call, decoder, how, job, mask).await?)
    }

    async fn delete_job(&self, request: Request<DeleteJobRequest>) -> Answer<()> {
        let (call, request) = open(request)?;
        let mut decoder = Decoder::new();
        let how = how(&mut decoder, "JobService/DeleteJob", &request);
        answer(app::delete_job(&self.app, &call, decoder, how, &request).await?)
    }
}
