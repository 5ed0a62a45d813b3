//! One complete calculation of every sheet, of an invented machine: the Heron, a printer with a bed of 160 mm.
//!
//! Timing and pictures use these; the numbers are the project's own scenario, nobody's product.

/// The link text of one complete calculation of each sheet.
pub const SAMPLES: &[&str] = &[
    "travel?drive=belt&pitch=2&teeth=20&step=1.8&micro=16&span=180",
    "microstep?step=1.8&micro=16&turn_travel=40&hold_torque=0.42&load_torque=0.11&speed=120&step_limit=60000",
    "current?rated=1.5&resistance=1.6&inductance=2.8&motors=2&wiring=parallel&set=70 %&driver_limit=2.5&rds_on=0.17\
     &supply=24&ambient=35&mount_limit=75&setting=reference&gain=8&sense=0R1",
    "sensor?kind=beta&r25=100k&beta=3950&pullup=4k7&give=count&value=702&r_tol=1&beta_tol=1&dissipation=1.5\
     &as=beta&as_r25=100k&as_beta=4267",
];
