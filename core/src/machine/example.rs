//! The Heron 160: a printer with a bed of 160 mm on one side, invented for this project, complete over all its sheets.
//!
//! It has one deliberate mistake for each check of the whole machine, so that a person can find them with the checks:
//! a supply too small, a step rate too high, a sensor that ends before its heater, a lift axis that drops, a motor that softens
//! its mount, a switch that is not seen when its wire breaks, a heater without a fuse, and answers never proven.

use super::{Machine, RecordFault};

/// The record of the Heron 160.
pub const RECORD: &str = "\
layshaft machine 1
name=Heron 160
part=X axis
part?kind=axis&items=motor 42 mm,1,14.5,data_sheet;belt 6 mm,1,4.2,guessed;pulley 20 teeth,1,3.1,measured;rail 250 mm,1,22,data_sheet&marks=travel,steps_per_mm,proven,80.00,2026-02-11,dial gauge over 150 mm
travel?drive=belt&pitch=2&teeth=20&step=1.8&micro=16&span=180
microstep?hold_torque=40 N.cm&load_force=6&speed=150&step_limit=60000
current?rated=1.5&resistance=2.1&inductance=3.2&wiring=single&set=1.0&driver_limit=1.4&rds_on=0.17&supply=24&ambient=30&mount_limit=90&setting=scale&full_scale=0.325&sense=0R11&sense_internal=0.02
headroom?mass=0.34&friction=3&rotor_inertia=54&hold_torque=0.4&rated=1.5&resistance=2.1&inductance=3.2&supply=24&speed=150&accel=3000
belt?mass_per_m=8.4&span=240&frequency=62&stiffness=40000&left=120&right=320&carriage=0.34&accel=3000&tension_max=60
homing?speed=30&accel=1000&overtravel=3&second_speed=5&hold_torque=0.4&rated=1.5&mass=0.34
switch?contact=nc&pull=up&to=ground&supply_volts=3.3&input_max=3.6&seen_released=low&seen_pressed=high
proof?readings=50,49.97;100,99.94;150,149.93;50,50.01,minus;100,99.99,minus&resolution=0.01&accuracy=0.02&drive=belt
part=Y axis
part?kind=axis&items=motor 42 mm,1,14.5,data_sheet;belt 6 mm,1,4.2,guessed;pulley 16 teeth,1,2.9,measured;rail 300 mm,2,24,data_sheet
travel?drive=belt&pitch=2&teeth=16&step=0.9&micro=32&span=180
microstep?step=0.9&micro=32&hold_torque=44 N.cm&load_force=9&speed=150&step_limit=60000
current?rated=1.7&resistance=1.6&inductance=3.0&wiring=single&set=1.5&driver_limit=1.6&rds_on=0.17&supply=24&ambient=40&mount_limit=80
headroom?mass=0.92&friction=4&step=0.9&rotor_inertia=68&hold_torque=0.44&rated=1.7&resistance=1.6&inductance=3.0&supply=24&speed=150&accel=2000
homing?speed=30&accel=1000&overtravel=3&hold_torque=0.44&rated=1.7&mass=0.92
switch?contact=no&pull=up&to=ground&supply_volts=3.3&input_max=3.6&seen_released=high&seen_pressed=low
part=Z axis
part?kind=axis&items=motor 42 mm,1,14.5,data_sheet;screw Tr8x8,1,9,data_sheet;nut,1,3,guessed;rod 10 mm,2,7.5,measured;bearing 10 mm,4,2.2,data_sheet
travel?drive=screw&thread=Tr8x8(P2)&step=1.8&micro=16&span=170
current?rated=1.5&resistance=2.1&wiring=single&set=0.9&driver_limit=1.4&rds_on=0.17&supply=24&ambient=30&mount_limit=90
screw?thread=Tr8x8(P2)&load=1.6 kg&length=220&ends=fixed-free&speed=15&layer=0.2&detent=0.005
headroom?mass=1.6&lift=1.6&friction=5&efficiency=44&rotor_inertia=54&hold_torque=0.4&rated=1.5&resistance=2.1&inductance=3.2&supply=24&speed=15&accel=200
rods?layout=cantilever&rods=2&rod_diameter=10&rod_length=260&rod_ends=fixed&bearing_spacing=60&clearance=8&position=20&travel=170&bed_mass=1.1&print_mass=0.5&overhang=95&reach=175&arms=2&arm_width=20&arm_height=20&arm_modulus=70
joint?size=M5&grade=8.8&torque=2.5&screws=2&spacing=40&shear=16&head=8.5&hole=5.3&pressure_limit=90
homing?speed=5&accel=100&overtravel=2&second_speed=1&hold_torque=0.4&rated=1.5&set_rms=0.4&mass=1.6
switch?contact=nc&pull=up&to=ground&supply_volts=3.3&input_max=3.6
part=Hot end
part?kind=heater&items=heater 24 V 40 W,1,5.4,data_sheet;thermistor,1,2.6,guessed;block and nozzle,1,18,measured;fan 24 V,2,4.1,data_sheet
sensor?kind=points&points=25,100k;150,1.77k;250,240&pullup=4k7&give=temperature&value=240&r_tol=1&dissipation=1.5
heater?volts=24&watts=40&mass=28&material=aluminium&area=40&film=30&emissivity=0.2&insulated=30&target=255&max_allowed=300&dead=6
cutoff?normal_max=265&max_allowed=300&rating=280&tolerance=6&lag=1&amps=1.7&volts=24&amps_rated=10&volts_rated=250
control?method=pid&rule=simc&target=255
flow?nozzle=0.4&layer=0.2&width=0.45&speed=80&limit=11&steps_per_mm=415&material=petg
identify?readings=ice,327k;boil,6.95k;25,100.4k&meter=1&boil_altitude=340&target=240
part=Bed
part?kind=heater&items=heater mat 24 V 160 W,1,19,data_sheet;aluminium plate 170 x 170 x 4,1,16,measured;thermistor,1,2.6,guessed
sensor?kind=beta&r25=100k&beta=3950&pullup=4k7&give=temperature&value=95&r_tol=1&beta_tol=1&high=150
heater?volts=24&watts=160&mass=320&material=aluminium&area=600&film=8&emissivity=0.6&insulated=45&target=95&max_allowed=130&dead=14
control?method=onoff&target=95
wire?amps=6.7&volts=24&length=0.8&gauge=1.5 mm2&temp=45&ampacity=16
level?probes=10,10,0.12;150,10,-0.05;80,150,0.02;80,80,0.03&screws=10,10;150,10;80,150&pitch=0.7&fixed=1&repeats=0.021;0.024;0.019;0.022;0.023
height?trigger=-1.35&bed_cold=22&bed_hot=95&column=45&layer=0.2&full_step=40
part=Supply
part?kind=supply&items=supply 24 V 8.5 A,1,31,data_sheet;inlet with fuse,1,6.5,guessed;cable 1.5 mm2,3,1.4,measured
supply?loads=hot end,40 W,60;bed,160 W,45;fans,7 W,100;controller,4 W,100&volts=24&rated=8.5
wire?amps=8.5&volts=24&length=0.4&gauge=14 AWG&ampacity=20
title?owner=Workshop Heron&number=H160-01&revision=B&issued=2026-03-01&creator=A. Reed&currency=EUR
part=Frame
part?kind=frame&items=profile 20 x 20 x 2000,3,11,data_sheet;corner bracket,24,0.9,measured;printed parts,1,6,guessed
mass?items=hot end,140,1,x;carriage,90,1,x;rail carriage,55,2,x;X beam,260,1,y;X motor,280,1,y;brackets,40,1,y;bed,780,1,z;arms,160,2,z;frame,3900,1,fixed
beam?section=own&inertia=0.72&area=163&half_height=10&modulus=70&density=2700&yield_strength=200&support=fixed&span=300&load=9
reach?frame_x=300&body_x=60&low_intrusion_x=5&high_intrusion_x=15&bed_x=160&bed_offset_x=65&nozzle_offset_x=0&home_at_x=low&switch_gap_x=8&probe_x=25&margin_x=1&frame_y=320&body_y=80&low_intrusion_y=5&high_intrusion_y=10&bed_y=160&bed_offset_y=75&nozzle_offset_y=-20&home_at_y=high&probe_y=0&margin_y=1
square?diagonal_1=424.4&diagonal_2=424.1&side=300&accuracy=0.2
ringing?waves=6&distance=18.5&speed=80&mass=0.34&amplitudes=0.12;0.085;0.06
part=Controller
part?kind=controller&items=board with 4 drivers,1,39,data_sheet;cable set,1,8,guessed
rate?axes=X,80,150;Y,400,150;Z,400,15;extruder,415,60&limit=150000&limit_each=55000
k=dfb9
";

/// The Heron 160 as a machine.
///
/// # Errors
/// Never, unless the record above was changed without its check digits; the tests see to that.
pub fn machine() -> Result<Machine, RecordFault> {
    Machine::read(RECORD)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::link::checksum;
    use crate::machine::declared;
    use std::string::String;
    use std::vec::Vec;

    #[test]
    fn the_record_has_its_check_digits() {
        let body = RECORD.rsplit_once("k=").map_or("", |(body, _)| body);
        assert!(
            RECORD.ends_with(&std::format!("k={}\n", checksum(body))),
            "k={}",
            checksum(body)
        );
    }

    #[test]
    fn every_sheet_is_known_and_every_entry_is_read() {
        let machine = machine().expect("the record is whole");
        let worked = machine.work();
        let mut faults: Vec<String> = Vec::new();
        for part in &machine.parts {
            for (id, entries) in &part.sheets {
                let Some(sheet) = declared(id) else {
                    faults.push(std::format!("{}: no sheet {id}", part.name));
                    continue;
                };
                for (key, _) in entries
                    .iter()
                    .filter(|(key, _)| !sheet.fields.iter().any(|field| field.key == *key))
                {
                    faults.push(std::format!("{}: {id} has no {key}", part.name));
                }
            }
        }
        for (part, report) in worked.reports() {
            for problem in report.problems.iter().chain(&report.warnings) {
                faults.push(std::format!(
                    "{part} {}: {}",
                    report.sheet.id,
                    problem.message
                ));
            }
            let mut headlines = report
                .answers()
                .filter(|(answer, _)| answer.headline)
                .peekable();
            if headlines.peek().is_some() && headlines.all(|(_, found)| found.is_none()) {
                faults.push(std::format!("{part} {}: no headline", report.sheet.id));
            }
        }
        assert!(faults.is_empty(), "{faults:#?}");
    }
}
